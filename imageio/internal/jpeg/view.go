package jpeg

import "sync/atomic"

// A View is a picture at one size, each of whose pixels is the mean of some of the picture's. Those at the right and below
// may go beyond it, by what the file has there.
type View struct {
	Width, Height int

	p                *Picture
	shift            int  // the power of two by which it is smaller
	wide, high       uint // of a stretch in pixels, as powers of two
	chromaX, chromaY uint // by which colour has fewer pixels, as powers of two
	parts            []atomic.Pointer[part]
}

// A part is the samples of a stretch.
type part struct{ luma, blue, red []uint8 }

func (v *View) of(p *Picture, shift int) {
	whole := 1<<shift - 1
	v.p, v.shift = p, shift
	v.Width, v.Height = (p.width+whole)>>shift, (p.height+whole)>>shift
	luma := &p.components[0]
	v.wide = log(blockSide*stretchUnits*luma.h) - uint(shift)
	v.high = log(blockSide*luma.v) - uint(shift)
	if !p.Grey() {
		v.chromaX, v.chromaY = log(luma.h/p.components[1].h), log(luma.v/p.components[1].v)
	}
	if shift < 3 {
		v.parts = make([]atomic.Pointer[part], len(p.places))
	}
}

// neutral is no colour.
const neutral = 128

// YCC gives the codes of a pixel. It panics outside of the view.
func (v *View) YCC(x, y int) (luma, blue, red uint8) {
	if uint(x) >= uint(v.Width) || uint(y) >= uint(v.Height) {
		panic("jpeg: pixel outside the picture")
	}
	if v.shift == 3 {
		m := v.p.means
		luma = m[0].codes[y*m[0].stride+x]
		if len(m) == 1 {
			return luma, neutral, neutral
		}
		at := y>>v.chromaY*m[1].stride + x>>v.chromaX
		return luma, m[1].codes[at], m[2].codes[at]
	}
	s := v.part(y>>v.high*v.p.stretches + x>>v.wide)
	x, y = x&(1<<v.wide-1), y&(1<<v.high-1)
	luma = s.luma[y<<v.wide|x]
	if s.blue == nil {
		return luma, neutral, neutral
	}
	at := y>>v.chromaY<<(v.wide-v.chromaX) | x>>v.chromaX
	return luma, s.blue[at], s.red[at]
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
		if len(m) > 1 {
			at := y >> v.chromaY * m[1].stride
			blue, red = m[1].codes[at:][x>>v.chromaX:], m[2].codes[at:][x>>v.chromaX:]
		}
		return luma, blue, red, v.chromaX
	}
	s := v.part(y>>v.high*v.p.stretches + x>>v.wide)
	y &= 1<<v.high - 1
	luma = s.luma[y<<v.wide:][:min(1<<v.wide, v.Width-x)]
	if s.blue != nil {
		at := y >> v.chromaY << (v.wide - v.chromaX)
		blue, red = s.blue[at:], s.red[at:]
	}
	return luma, blue, red, v.chromaX
}

// part is the stretch of a number. Two who ask for it at once may both decode it; one of them is kept.
func (v *View) part(i int) *part {
	if s := v.parts[i].Load(); s != nil {
		return s
	}
	s := v.decode(i)
	if v.parts[i].CompareAndSwap(nil, s) {
		return s
	}
	return v.parts[i].Load()
}

// decode reads a stretch.
func (v *View) decode(i int) *part {
	p := v.p
	side := blockSide >> v.shift
	samples := make([]uint8, 0, 3<<(v.wide+v.high))
	var planes [3][]uint8
	for k := range p.components {
		n := 1 << (v.wide + v.high)
		if k > 0 {
			n >>= v.chromaX + v.chromaY
		}
		planes[k] = samples[len(samples):][:n:n]
		samples = samples[:len(samples)+n]
	}
	row, first := i/p.stretches, i%p.stretches*stretchUnits
	bit, dc := int(p.places[i].bit), p.places[i].dc
	var b block
	for unit := range min(stretchUnits, p.across-first) {
		if at := row*p.across + first + unit; unit > 0 && p.restart > 0 && at%p.restart == 0 {
			bit, dc = 8*int(p.restarts[at/p.restart-1]), [3]int32{}
		}
		for k := range p.components {
			c := &p.components[k]
			stride := stretchUnits * c.h * side
			for j := range c.h * c.v {
				var diff int32
				bit, diff = b.read(p.data, bit, c)
				dc[k] += diff
				b.of[0] = dc[k] * c.steps[0]
				to := planes[k][j/c.h*side*stride+(unit*c.h+j%c.h)*side:]
				if v.shift == 0 {
					b.transform(to, stride)
				} else {
					b.reduce(3-v.shift, to, stride)
				}
			}
		}
	}
	return &part{planes[0], planes[1], planes[2]}
}
