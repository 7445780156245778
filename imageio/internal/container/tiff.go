package container

import (
	"bytes"
	"errors"
	"fmt"

	"huewright/imageio/internal/tiffdir"
	"huewright/internal/fault"
)

// The photometric kinds of a TIFF in L*a*b*: a* and b* as signed numbers, or with 128 added. The white is
// D50, which is what programs write; one that the file names is not looked at.
//
// Source: TIFF 6.0, section 23, and TIFF Technical Note 1 of 2002 (ICC L*a*b*).
const (
	PhotometricLab    = 8
	photometricICCLab = 9
)

// readTIFF takes the profile of the first page and names what the decoder would refuse or,
// worse, misread.
func readTIFF(data []byte, p *Picture) *fault.Fault {
	dirs, pages, _ := tiffdir.Read(data)
	if len(dirs) == 0 {
		return damaged(formatTIFF, errors.New("it has no page"))
	}
	page := dirs[0]
	if kind := unreadTIFF(page); kind != "" {
		return fault.New(fault.Photo, "photo.tiff-kind").Because(errors.New("a TIFF " + kind))
	}
	if pages > 1 {
		p.note(fault.Say("photo.pages", "pages", pages))
	}
	if photometric := page.Whole(tagPhotometric, 0); photometric == PhotometricLab || photometric == photometricICCLab {
		p.Lab = photometric
	}
	p.profile = page[tagICCProfile].Data
	p.exif = data
	return nil
}

// unreadTIFF is what keeps a page from being read, for developers; "" for nothing.
func unreadTIFF(page tiffdir.Directory) string {
	switch p := page.Whole(tagPhotometric, -1); p {
	case 0, 1, 2, 3:
	case 5:
		return "in print colours (CMYK)"
	case 6:
		return "in YCbCr"
	case PhotometricLab, photometricICCLab:
		if bits := page.Numbers(tagBits); len(bits) != 3 || bits[0] != 8 && bits[0] != 16 {
			return "in L*a*b* of other than three times 8 or 16 bits"
		}
	case 10:
		return "in L*a*b* as facsimile codes it"
	case -1:
		return "that does not say what its colours are"
	default:
		return fmt.Sprintf("of photometric kind %d", p)
	}
	if f := page.Whole(tagSampleFormat, 1); f != 1 {
		return "with signed or floating-point numbers"
	}
	if b := page.Whole(tagBits, 1); b == 32 || b == 64 {
		return fmt.Sprintf("with %d bits", b)
	}
	if c := page.Whole(tagCompression, 1); c == 6 || c == 7 {
		return "with JPEG inside"
	}
	return ""
}

// labAsRGB changes the photometric kind of the first page, so that a decoder that knows only
// R, G and B hands over the numbers as they are.
func labAsRGB(data []byte) []byte {
	data = bytes.Clone(data)
	dirs, _, _ := tiffdir.Read(data)
	if len(dirs) == 0 || len(dirs[0][tagPhotometric].Data) != 2 {
		return data
	}
	const rgb = 2
	kind := dirs[0][tagPhotometric].Data
	if data[0] == 'I' {
		kind[0], kind[1] = rgb, 0
	} else {
		kind[0], kind[1] = 0, rgb
	}
	return data
}
