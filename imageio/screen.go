package imageio

// holdsScreenCodes reports whether the photo's codes are those of a screen already: sRGB of 8 bits.
func (p *Photo) holdsScreenCodes() bool {
	return p.pixels.values == nil && p.pixels.bits == 8 && p.transfer.isSRGB8()
}

// screenRow writes an upright row of a photo that holds screen codes as red, green, blue and opaque
// bytes, four a pixel.
func (p *Photo) screenRow(y int, rgba []uint8) {
	if p.pixels.row != nil && p.lies.number <= 1 {
		p.pixels.row(y, rgba)
		return
	}
	for x := range p.Width {
		r, g, b := p.pixels.code(p.lies.stored(x, y))
		rgba[4*x], rgba[4*x+1], rgba[4*x+2], rgba[4*x+3] = uint8(r), uint8(g), uint8(b), 0xff
	}
}

// transparentIn counts the pixels of spans that are not opaque.
func (p *Photo) transparentIn(spans []span) (n int) {
	if p.pixels.opaque == nil {
		return 0
	}
	for _, s := range spans {
		for x := s.x0; x < s.x1; x++ {
			if !p.pixels.opaque(p.lies.stored(x, s.y)) {
				n++
			}
		}
	}
	return n
}
