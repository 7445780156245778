package imageio

import (
	"huewright/imageio/internal/container"
	"huewright/imageio/internal/icc"
)

// The ways in which a TIFF keeps L*a*b*, as its photometric kind: a* and b* as signed numbers,
// or with 128 added. The white is D50, which is what programs write; one that the file names
// is not looked at.
//
// Source: TIFF 6.0, section 23, and TIFF Technical Note 1 of 2002 (ICC L*a*b*).
const ()

// asLab reads the codes as L*a*b*.
func (r *raster) asLab(kind int) {
	raw, wide := r.code, r.bits == 16
	r.code = func(x, y int) (uint16, uint16, uint16) {
		l, _, _ := raw(x, y)
		return l, l, l
	}
	signed := func(v uint16) float64 { // a* or b*, as lightOfLab wants them
		if wide {
			return (float64(int16(v))/256 + 128) / 255
		}
		return (float64(int8(v)) + 128) / 255
	}
	r.values = func(x, y int) icc.Channels {
		l, a, b := raw(x, y)
		switch {
		case kind == container.PhotometricLab && wide:
			return icc.Channels{float64(l) / 65535, signed(a), signed(b)}
		case kind == container.PhotometricLab:
			return icc.Channels{float64(l) / 255, signed(a), signed(b)}
		case wide:
			return icc.Channels{float64(l) / 65280, float64(a) / 65280, float64(b) / 65280}
		}
		return icc.Channels{float64(l) / 255, float64(a) / 255, float64(b) / 255}
	}
}
