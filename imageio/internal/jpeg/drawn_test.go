package jpeg

import (
	"encoding/binary"
	"math/rand/v2"
)

// A drawing says how a JPEG is coded whose coefficients are drawn at random.
type drawing struct {
	wide, high int
	sampling   []int // of each component, across in the upper 4 bits and down in the lower ones
	restart    int   // units between restarts; 0 for none
	steep      bool  // codes of all lengths, most of them of 16 bits; or else all of 8
	gradual    bool  // progressive
	busy       float64
	steps      byte // of quantisation
	seed       uint64
}

// A writer writes coded data.
type writer struct {
	out  []byte
	bits uint64
	n    int
}

func (w *writer) put(bits uint32, n int) {
	w.bits, w.n = w.bits<<n|uint64(bits&(1<<n-1)), w.n+n
	for ; w.n >= 8; w.n -= 8 {
		b := byte(w.bits >> (w.n - 8))
		if w.out = append(w.out, b); b == 0xff {
			w.out = append(w.out, 0)
		}
	}
}

// align fills up the byte with ones.
//
// Source: ITU-T T.81, F.1.2.3.
func (w *writer) align() {
	if w.n > 0 {
		w.put(0xff, 8-w.n)
	}
}

// codes are those of a table, by symbol.
type codes struct {
	counts  [16]byte
	symbols []byte
	code    [256]uint32
	length  [256]int
}

func newCodes(symbols []byte, steep bool) *codes {
	c := &codes{symbols: symbols}
	code, last := uint32(0), 1
	for i, symbol := range symbols {
		length := 8
		if steep {
			length = 2 + i
			if i > 11 || length > 16 {
				length = 16
			}
		}
		code <<= length - last
		c.code[symbol], c.length[symbol] = code, length
		c.counts[length-1]++
		code, last = code+1, length
	}
	return c
}

func (w *writer) symbol(c *codes, symbol byte) { w.put(c.code[symbol], c.length[symbol]) }

// number writes what follows a symbol.
//
// Source: ITU-T T.81, F.1.2.1.
func (w *writer) number(v int32, bits int) {
	if v < 0 {
		v += 1<<bits - 1
	}
	w.put(uint32(v), bits)
}

func bitsOf(v int32) (n int) {
	for v = max(v, -v); v > 0; v >>= 1 {
		n++
	}
	return n
}

// segment appends a marker segment.
func appendSegment(file []byte, marker byte, body []byte) []byte {
	file = append(file, 0xff, marker)
	return append(binary.BigEndian.AppendUint16(file, uint16(len(body)+2)), body...)
}

var symbolsDC = []byte{0, 3, 2, 4, 1, 5, 6, 7, 8, 9, 10, 11}

// symbolsAC are all there are, those that are drawn often first.
var symbolsAC = func() (all []byte) {
	all = []byte{endOfBlock, 0x01, 0x11, 0x02, 0x21, 0x12, 0x03, 0x31}
	for size := byte(1); size <= 10; size++ {
		for run := range byte(16) {
			if s := run<<4 | size; !(size == 1 && run < 4 || size == 2 && run < 2 || s == 0x03) {
				all = append(all, s)
			}
		}
	}
	for run := byte(1); run < 15; run++ {
		all = append(all, run<<4) // of progressive coding only: blocks without anything new
	}
	return append(all, zeros)
}()

// draw makes the file.
func (d *drawing) draw() []byte {
	file := []byte{0xff, startOfImage}
	quant := make([]byte, 65)
	for i := range quant[1:] {
		quant[1+i] = d.steps + byte(i)/8
	}
	file = appendSegment(file, quantTables, quant)
	frame := []byte{8, byte(d.high >> 8), byte(d.high), byte(d.wide >> 8), byte(d.wide), byte(len(d.sampling))}
	scan := []byte{byte(len(d.sampling))}
	for i, hv := range d.sampling {
		frame = append(frame, byte(i+1), byte(hv), 0)
		scan = append(scan, byte(i+1), 0)
	}
	kind := byte(frameBaseline)
	if d.gradual {
		kind = frameGradual
	}
	file = appendSegment(file, kind, frame)
	dc, ac := newCodes(symbolsDC, d.steep), newCodes(symbolsAC, d.steep)
	file = appendSegment(file, huffmanTables, append(append([]byte{0x00}, dc.counts[:]...), dc.symbols...))
	file = appendSegment(file, huffmanTables, append(append([]byte{0x10}, ac.counts[:]...), ac.symbols...))
	if d.gradual {
		return append(d.scans(file, dc, ac), 0xff, endOfImage)
	}
	if d.restart > 0 {
		file = appendSegment(file, restartEvery, []byte{byte(d.restart >> 8), byte(d.restart)})
	}
	file = appendSegment(file, startOfScan, append(scan, 0, 63, 0))
	file = append(file, d.scan(dc, ac)...)
	return append(file, 0xff, endOfImage)
}

// units is how many units there are, and how many blocks of each component in one.
func (d *drawing) units() (across, down int, sampling []int) {
	sampling = d.sampling
	if len(sampling) == 1 {
		sampling = []int{0x11}
	}
	return (d.wide-1)/(8*(sampling[0]>>4)) + 1, (d.high-1)/(8*(sampling[0]&15)) + 1, sampling
}

func (d *drawing) scan(dc, ac *codes) []byte {
	rng := rand.New(rand.NewPCG(d.seed, 81))
	across, down, sampling := d.units()
	w, last := new(writer), make([]int32, len(sampling))
	for unit := range across * down {
		if d.restart > 0 && unit > 0 && unit%d.restart == 0 {
			w.align()
			w.out = append(w.out, 0xff, byte(firstRestart+(unit/d.restart-1)%8))
			clear(last)
		}
		for i, hv := range sampling {
			for range hv >> 4 * (hv & 15) {
				b := d.drawBlock(rng, last[i])
				w.difference(dc, b[0]-last[i])
				last[i] = b[0]
				w.band(ac, b[:], 1, 63)
			}
		}
	}
	w.align()
	return w.out
}

func (w *writer) difference(dc *codes, diff int32) {
	n := bitsOf(diff)
	w.symbol(dc, byte(n))
	w.number(diff, n)
}

// band writes coefficients of a block by themselves.
func (w *writer) band(ac *codes, b []int32, from, to int) {
	run := 0
	for k := from; k <= to; k++ {
		if b[k] == 0 {
			run++
			continue
		}
		for ; run > 15; run -= 16 {
			w.symbol(ac, zeros)
		}
		n := bitsOf(b[k])
		w.symbol(ac, byte(run<<4|n))
		w.number(b[k], n)
		run = 0
	}
	if run > 0 {
		w.symbol(ac, endOfBlock)
	}
}

// drawBlock draws the coefficients of a block; the first goes astray from that of the last one, but not far.
func (d *drawing) drawBlock(rng *rand.Rand, last int32) (b [64]int32) {
	b[0] = last + int32(rng.NormFloat64()*20) - last/8
	for k := 1; k < 64; k++ {
		if rng.Float64() < d.busy/(1+0.2*float64(k)) {
			b[k] = int32(rng.NormFloat64() * 60 / float64(k+2))
		}
	}
	return b
}

// samplings are those that the standard library's pictures can have.
var samplings = [][]int{
	{0x11}, {0x22}, {0x11, 0x11, 0x11}, {0x21, 0x11, 0x11}, {0x12, 0x11, 0x11}, {0x22, 0x11, 0x11}, {0x41, 0x11, 0x11},
	{0x42, 0x11, 0x11}, {0x22, 0x21, 0x21}, {0x22, 0x12, 0x12}, {0x41, 0x21, 0x21}, {0x21, 0x21, 0x21}, {0x12, 0x12, 0x12},
}

// drawings are files of all kinds, the same on each call.
func drawings() (all []*drawing) {
	for i, sampling := range samplings {
		// The standard library counts the blocks at the edge of a half-fine plane beside a fine one in its own way.
		odd := len(sampling) > 1 && sampling[0]>>4 == 4 && sampling[1]>>4 == 2
		for k := range 6 {
			rng := rand.New(rand.NewPCG(uint64(i), uint64(k)))
			all = append(all, &drawing{
				wide: 1 + rng.IntN(300), high: 1 + rng.IntN(90), sampling: sampling, restart: []int{0, 0, 1, 3, 7, 40}[k],
				steep: k%2 == 1, gradual: (k == 3 || k == 4) && !odd, busy: []float64{0, 0.1, 0.4, 1, 0.3, 0.8}[k], steps: byte(1 + 3*k),
				seed: uint64(100*i + k),
			})
		}
	}
	return all
}
