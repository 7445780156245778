package imageio

import "huewright/colour"

// Lines are the rows of a photo that is made smaller, or its columns where its file has it on its side: whichever lie side by side there,
// so that a picture of them costs a third of one of its pixels looked up one by one. They are for one goroutine.
type Lines struct {
	Cell    int  // each place stands for Cell × Cell pixels round it
	Columns bool // of the upright photo

	photo  *Photo
	pixels *raster
	shift  int
	codes  []uint8          // of one stored row, red, green, blue and opaque
	has    int              // which it is
	curves *[3][256]float32 // of codes whose light needs no more; else nil
}

// LinesAbout returns the lines of a photo of whose pixels each stands for no more than so many across.
func (p *Photo) LinesAbout(across int) *Lines {
	pixels, shift := p.pixels.near(across)
	l := &Lines{Cell: 1 << shift, Columns: p.turned.swapped(), photo: p, pixels: pixels, shift: shift, has: -1}
	if pixels.row != nil {
		l.codes = make([]uint8, 4*pixels.width)
		if t := p.transfer; t.Matrix == nil && t.Convert == nil {
			l.curves = new([3][256]float32)
			for k, curve := range t.Curves {
				copy(l.curves[k][:], curve)
			}
		}
	}
	return l
}

// Light fills light with that at places along a line. Both are counted in pixels of the upright photo, which they must be on.
func (l *Lines) Light(line int, at []int, light []colour.LinearRGB) {
	p := l.photo
	upright := func(at int) (x, y int) {
		if l.Columns {
			return line, at
		}
		return at, line
	}
	if l.codes == nil {
		for i, a := range at {
			light[i] = p.Linear(upright(a))
		}
		return
	}
	first, row := p.turned.stored(upright(0))
	second, _ := p.turned.stored(upright(1))
	step := second - first // 1, or −1 where the line is stored the other way round
	if row>>l.shift != l.has {
		l.has = row >> l.shift
		l.pixels.row(l.has, l.codes)
	}
	for i, a := range at {
		px := l.codes[4*((first+step*a)>>l.shift):][:3]
		if t := l.curves; t != nil { // as most have it
			light[i] = colour.LinearRGB{R: float64(t[0][px[0]]), G: float64(t[1][px[1]]), B: float64(t[2][px[2]])}
			continue
		}
		light[i] = p.transfer.Linear(uint16(px[0]), uint16(px[1]), uint16(px[2]))
	}
}
