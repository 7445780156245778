package imageio

import "bytes"

// The ways in which a TIFF keeps L*a*b*, as its photometric kind: a* and b* as signed numbers,
// or with 128 added. The white is D50, which is what programs write; one that the file names
// is not looked at.
//
// Source: TIFF 6.0, section 23, and TIFF Technical Note 1 of 2002 (ICC L*a*b*).
const (
	photometricLab    = 8
	photometricICCLab = 9
)

// labAsRGB changes the photometric kind of the first page, so that a decoder that knows only
// R, G and B hands over the numbers as they are.
func labAsRGB(data []byte) []byte {
	data = bytes.Clone(data)
	dirs, _ := tiffDirs(data)
	if len(dirs) == 0 || len(dirs[0][tagPhotometric].data) != 2 {
		return data
	}
	const rgb = 2
	kind := dirs[0][tagPhotometric].data
	if data[0] == 'I' {
		kind[0], kind[1] = rgb, 0
	} else {
		kind[0], kind[1] = 0, rgb
	}
	return data
}

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
	r.values = func(x, y int) channels {
		l, a, b := raw(x, y)
		switch {
		case kind == photometricLab && wide:
			return channels{float64(l) / 65535, signed(a), signed(b)}
		case kind == photometricLab:
			return channels{float64(l) / 255, signed(a), signed(b)}
		case wide:
			return channels{float64(l) / 65280, float64(a) / 65280, float64(b) / 65280}
		}
		return channels{float64(l) / 255, float64(a) / 255, float64(b) / 255}
	}
}

var labTransfer = &transfer{better: (&table{light: lightOfLab}).linear}
