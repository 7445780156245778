package jpeg

import (
	"slices"
	"sync/atomic"
)

// A View is a picture at one size, each of whose pixels is the mean of some of the picture's. Those at the right and below
// may go beyond it, by what the file has there.
type View struct {
	Width, Height int

	p                *Picture
	stretches        int  // in a row
	components       int  // that are shown
	shift            int  // the power of two by which it is smaller
	wide, high       uint // of a stretch in pixels, as powers of two
	chromaX, chromaY uint // by which colour has fewer pixels, as powers of two
	parts            []atomic.Pointer[part]
}

// A part is the samples of a stretch: its luma, and blue and red where somebody asked for them and the picture has them.
type part struct{ luma, blue, red []uint8 }

// has reports whether the view finds in a part all that it shows.
func (v *View) has(s *part) bool { return s != nil && (s.blue != nil || v.components == 1) }

func (v *View) of(p *Picture, shift, components int) {
	whole := 1<<shift - 1
	v.p, v.shift, v.components, v.stretches = p, shift, components, p.stretches
	v.Width, v.Height = (p.width+whole)>>shift, (p.height+whole)>>shift
	luma := &p.components[0]
	v.wide = log(blockSide*stretchBlocks) - uint(shift)
	v.high = log(blockSide*luma.v) - uint(shift)
	if components > 1 {
		v.chromaX, v.chromaY = log(luma.h/p.components[1].h), log(luma.v/p.components[1].v)
	}
	if shift < 3 {
		v.parts = p.parts[shift]
	}
}

// Neutral is the code of no colour.
const Neutral = 128

// YCC gives the codes of a pixel. It panics outside of the view.
func (v *View) YCC(x, y int) (luma, blue, red uint8) {
	if uint(x) >= uint(v.Width) || uint(y) >= uint(v.Height) {
		panic("jpeg: pixel outside the picture")
	}
	if v.shift == 3 {
		m := v.p.means
		luma = m[0].codes[y*m[0].stride+x]
		if v.components == 1 {
			return luma, Neutral, Neutral
		}
		at := y>>v.chromaY*m[1].stride + x>>v.chromaX
		return luma, m[1].codes[at], m[2].codes[at]
	}
	// Shifts that the compiler can see to be short are a third quicker here.
	const short = 31
	wide, high, chromaX, chromaY := v.wide&short, v.high&short, v.chromaX&short, v.chromaY&short
	i := y>>high*v.stretches + x>>wide
	s := v.parts[i].Load()
	if !v.has(s) {
		s = v.part(i)
	}
	x, y = x&(1<<wide-1), y&(1<<high-1)
	luma = s.luma[y<<wide|x]
	if v.components == 1 {
		return luma, Neutral, Neutral
	}
	at := y>>chromaY<<((wide-chromaX)&short) | x>>chromaX
	return luma, s.blue[at], s.red[at]
}

// Square gives the codes of 2 × 2 pixels, row by row, from the upper left one on. It panics where one is outside of the view.
func (v *View) Square(x, y int) (luma, blue, red [4]uint8) {
	const short = 31
	wide, high, chromaX, chromaY := v.wide&short, v.high&short, v.chromaX&short, v.chromaY&short
	if v.shift == 3 || x>>wide != (x+1)>>wide || y>>high != (y+1)>>high || uint(x) >= uint(v.Width-1) || uint(y) >= uint(v.Height-1) {
		for k := range luma {
			luma[k], blue[k], red[k] = v.YCC(x+k&1, y+k>>1)
		}
		return luma, blue, red
	}
	i := y>>high*v.stretches + x>>wide
	s := v.parts[i].Load()
	if !v.has(s) {
		s = v.part(i)
	}
	x, y = x&(1<<wide-1), y&(1<<high-1)
	copy(luma[:2], s.luma[y<<wide|x:])
	copy(luma[2:], s.luma[(y+1)<<wide|x:])
	for k := range luma {
		if v.components == 1 {
			blue[k], red[k] = Neutral, Neutral
			continue
		}
		at := (y+k>>1)>>chromaY<<((wide-chromaX)&short) | (x+k&1)>>chromaX
		blue[k], red[k] = s.blue[at], s.red[at]
	}
	return luma, blue, red
}

// Run gives the codes of the pixels of a row, from x on as far as they lie side by side; those of colour, nil for a grey
// picture, are for 1<<across pixels each. It panics where x is not where the run before ended, or 0.
func (v *View) Run(x, y int) (luma, blue, red []uint8, across uint) {
	if uint(x) >= uint(v.Width) || uint(y) >= uint(v.Height) || x&(1<<v.wide-1) != 0 && v.shift < 3 {
		panic("jpeg: no run of the picture begins here")
	}
	if v.shift == 3 {
		m := v.p.means
		luma = m[0].codes[y*m[0].stride:][:v.Width][x:]
		if v.components > 1 {
			at := y >> v.chromaY * m[1].stride
			blue, red = m[1].codes[at:][x>>v.chromaX:], m[2].codes[at:][x>>v.chromaX:]
		}
		return luma, blue, red, v.chromaX
	}
	s := v.part(y>>v.high*v.p.stretches + x>>v.wide)
	y &= 1<<v.high - 1
	luma = s.luma[y<<v.wide:][:min(1<<v.wide, v.Width-x)]
	if v.components > 1 {
		at := y >> v.chromaY << (v.wide - v.chromaX)
		blue, red = s.blue[at:], s.red[at:]
	}
	return luma, blue, red, v.chromaX
}

// Glance gives the brightness of all that is decoded together with a pixel, row by row, and the place of its first pixel. What was not
// decoded before is not kept either: it stands in room, until that is used again.
func (v *View) Glance(x, y int, room *[]uint8) (luma []uint8, wide, left, top int) {
	i := y>>v.high*v.stretches + x>>v.wide
	wide, left, top = 1<<v.wide, x>>v.wide<<v.wide, y>>v.high<<v.high
	if s := v.parts[i].Load(); s != nil {
		return s.luma, wide, left, top
	}
	s := part{luma: slices.Grow((*room)[:0], 1<<(v.wide+v.high))[:1<<(v.wide+v.high)]}
	*room = s.luma
	v.p.lumas[v.shift].read(i, 0, &s)
	return s.luma, wide, left, top
}

// part is the stretch of a number. Two who ask for it at once may both decode it; one of them is kept, with colour if either has it.
func (v *View) part(i int) *part {
	before := v.parts[i].Load()
	for !v.has(before) {
		s := v.decode(i, before)
		if v.parts[i].CompareAndSwap(before, s) {
			return s
		}
		before = v.parts[i].Load()
	}
	return before
}

// decode reads what the view shows of a stretch, but its luma where that is there already.
func (v *View) decode(i int, before *part) *part {
	s, first := new(part), 0
	if before != nil {
		s.luma, first = before.luma, 1
	} else {
		s.luma = make([]uint8, 1<<(v.wide+v.high))
	}
	if v.components > 1 {
		n := 1 << (v.wide + v.high - v.chromaX - v.chromaY)
		samples := make([]uint8, 2*n)
		s.blue, s.red = samples[:n:n], samples[n:]
	}
	v.read(i, first, s)
	return s
}

// read reads the components of a stretch from the first that is wanted on.
func (v *View) read(i, wanted int, s *part) {
	if v.p.progressive {
		v.decodeScans(i, wanted, s)
	} else {
		v.decodeScan(i, wanted, s)
	}
}

// decodeScan reads the components of a stretch from the first that is wanted on, of a picture that has only one scan.
func (v *View) decodeScan(i, wanted int, s *part) {
	p := v.p
	row, first := i/p.stretches, i%p.stretches*p.stretch
	bit, dc := int(p.places[i].bit), p.places[i].dc
	var all [64]coefficient
	var m means
	for unit := range min(p.stretch, p.across-first) {
		if at := row*p.across + first + unit; unit > 0 && p.restart > 0 && at%p.restart == 0 {
			bit, dc = 8*int(p.restarts[at/p.restart-1]), [3]int32{}
		}
		for k := range p.components {
			c := &p.components[k]
			if k < wanted || k >= v.components {
				for range c.h * c.v {
					bit, _ = skip(p.data, bit, c)
				}
				continue
			}
			for j := range c.h * c.v {
				var diff int32
				bit, diff = c.dc.difference(p.data, bit)
				dc[k] += diff
				to, stride := v.block(s, k, unit*c.h+j%c.h, j/c.h)
				if v.shift > 0 {
					m.begin(dc[k]*c.steps[0], v.weights())
					bit = c.ac.addTo(&m, p.data, bit, c.steps, v.weights())
					v.putMeans(&m, to, stride)
					continue
				}
				var n int
				n, bit = c.ac.coefficients(p.data, bit, &all)
				transform(dc[k]*c.steps[0], all[:n], c.steps, to, stride)
			}
		}
	}
}

// put transforms a block of a component, so many blocks from the left and from above in the part.
func (v *View) put(s *part, k, x, y int, first int32, all []coefficient) {
	c := &v.p.components[k]
	to, stride := v.block(s, k, x, y)
	if v.shift == 0 {
		transform(first*c.steps[0], all, c.steps, to, stride)
		return
	}
	var m means
	m.begin(first*c.steps[0], v.weights())
	for _, one := range all {
		m.add(int(one.at), one.value, c.steps, v.weights())
	}
	v.putMeans(&m, to, stride)
}

// block is where a block of a component goes in a part.
func (v *View) block(s *part, k, x, y int) (to []uint8, stride int) {
	side := blockSide >> v.shift
	stride = v.p.stretch * v.p.components[k].h * side
	return [3][]uint8{s.luma, s.blue, s.red}[k][(y*stride+x)*side:], stride
}

// weights are those of coefficients where the picture is smaller.
func (v *View) weights() *[64]weight {
	if v.shift == 1 {
		return halves
	}
	return quarters
}

func (v *View) putMeans(m *means, to []uint8, stride int) {
	if v.shift == 1 {
		m.put(to, stride)
		return
	}
	m.putQuarter(to, stride)
}
