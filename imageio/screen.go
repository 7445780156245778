package imageio

// ScreenRow copies an upright row as red, green, blue and opaque bytes, four a pixel, and reports whether it
// could: only a photo in sRGB of 8 bits holds the codes of a screen already.
func (p *Photo) ScreenRow(y int, rgba []uint8) bool {
	if p.pixels.values != nil || p.pixels.bits != 8 || !p.transfer.IsSRGB8() {
		return false
	}
	if p.pixels.row != nil && p.lies.number <= 1 {
		p.pixels.row(y, rgba)
		return true
	}
	for x := range p.Width {
		r, g, b := p.pixels.code(p.lies.stored(x, y))
		rgba[4*x], rgba[4*x+1], rgba[4*x+2], rgba[4*x+3] = uint8(r), uint8(g), uint8(b), 0xff
	}
	return true
}

// TransparentIn counts the pixels of spans that are not opaque.
func (p *Photo) TransparentIn(spans []Span) (n int) {
	if p.pixels.opaque == nil {
		return 0
	}
	for _, s := range spans {
		for x := s.X0; x < s.X1; x++ {
			if !p.pixels.opaque(p.lies.stored(x, s.Y)) {
				n++
			}
		}
	}
	return n
}
