package jpeg

import (
	"math/bits"
	"math/rand/v2"
)

// scans appends those of a progressive file: the first coefficients of all components, bands of each to two bits less, then a bit
// more of all, twice.
func (d *drawing) scans(file []byte, dc, ac *codes) []byte {
	across, down, sampling := d.units()
	rng := rand.New(rand.NewPCG(d.seed, 81))
	var blocks [3][][64]int32 // row by row
	for i, hv := range sampling {
		last := int32(0)
		for range across * (hv >> 4) * down * (hv & 15) {
			b := d.drawBlock(rng, last)
			blocks[i], last = append(blocks[i], b), b[0]
		}
	}
	all := make([]int, len(sampling))
	for i := range all {
		all[i] = i
	}
	scan := func(of []int, from, to, high, low int, write func(w *writer)) {
		header := []byte{byte(len(of))}
		for _, i := range of {
			header = append(header, byte(i+1), 0)
		}
		file = appendSegment(file, startOfScan, append(header, byte(from), byte(to), byte(high<<4|low)))
		w := new(writer)
		write(w)
		w.align()
		file = append(file, w.out...)
	}
	firsts := func(of []int, high, low int) {
		scan(of, 0, 0, high, low, func(w *writer) {
			var last [3]int32
			for _, at := range d.order(of) {
				v := blocks[at.component][at.block][0]
				if high > 0 {
					w.put(uint32(v>>low)&1, 1)
					continue
				}
				w.difference(dc, v>>low-last[at.component])
				last[at.component] = v >> low
			}
		})
	}
	bands := func(i, from, to, high, low int) {
		scan([]int{i}, from, to, high, low, func(w *writer) {
			r := runs{writer: w, ac: ac}
			for _, at := range d.order([]int{i}) {
				r.block(blocks[i][at.block], from, to, high > 0, low)
			}
			r.end()
		})
	}
	firsts(all, 0, 1)
	for i := range sampling {
		bands(i, 1, 5, 0, 2)
		bands(i, 6, 63, 0, 2)
	}
	for i := range sampling {
		bands(i, 1, 63, 2, 1)
	}
	firsts(all[:1], 1, 0)
	if len(all) > 1 {
		firsts(all[1:], 1, 0)
	}
	for i := range sampling {
		bands(i, 1, 63, 1, 0)
	}
	return file
}

type blockAt struct{ component, block int }

// order lists the blocks that a scan goes over.
//
// Source: ITU-T T.81, A.2.
func (d *drawing) order(of []int) (all []blockAt) {
	across, down, sampling := d.units()
	if len(of) == 1 {
		hv := sampling[of[0]]
		most := sampling[0]
		wide := ((d.wide*(hv>>4)+most>>4-1)/(most>>4) + 7) / 8
		high := ((d.high*(hv&15)+most&15-1)/(most&15) + 7) / 8
		for i := range wide * high {
			all = append(all, blockAt{of[0], i/wide*across*(hv>>4) + i%wide})
		}
		return all
	}
	for unit := range across * down {
		for _, i := range of {
			h, v := sampling[i]>>4, sampling[i]&15
			for j := range h * v {
				all = append(all, blockAt{i, (unit/across*v+j/h)*across*h + unit%across*h + j%h})
			}
		}
	}
	return all
}

// runs writes bands of blocks, those without anything new together.
type runs struct {
	*writer
	ac   *codes
	n    int    // blocks without anything new
	bits []bool // of known coefficients of these
}

func (r *runs) end() {
	if r.n > 0 {
		n := bits.Len(uint(r.n)) - 1
		r.symbol(r.ac, byte(n<<4))
		r.put(uint32(r.n), n)
		r.n = 0
	}
	r.flush(r.bits)
	r.bits = nil
}

func (r *runs) flush(more []bool) {
	for _, one := range more {
		if one {
			r.put(1, 1)
		} else {
			r.put(0, 1)
		}
	}
}

// block writes a band of a block, or a bit more of it.
//
// Source: ITU-T T.81, G.1.2.2 and G.1.2.3.
func (r *runs) block(b [64]int32, from, to int, refines bool, low int) {
	size := func(k int) int32 { return max(b[k], -b[k]) >> low }
	isNew := func(k int) bool { return size(k) == 1 || size(k) > 0 && !refines }
	last := 0
	for k := from; k <= to; k++ {
		if isNew(k) {
			last = k
		}
	}
	run := 0
	var more []bool
	for k := from; k <= to; k++ {
		switch {
		case size(k) == 0:
			run++
			if run == 16 && k < last {
				r.end()
				r.symbol(r.ac, zeros)
				r.flush(more)
				run, more = 0, nil
			}
		case !isNew(k):
			more = append(more, size(k)&1 == 1)
		default:
			r.end()
			v := size(k)
			if b[k] < 0 {
				v = -v
			}
			n := bitsOf(v)
			r.symbol(r.ac, byte(run<<4|n))
			r.number(v, n)
			r.flush(more)
			run, more = 0, nil
		}
	}
	if run > 0 || len(more) > 0 {
		r.n++
		r.bits = append(r.bits, more...)
		if r.n == 1<<15-1 || len(r.bits) > 500 {
			r.end()
		}
	}
}
