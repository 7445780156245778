package container

import (
	"image"

	"github.com/bep/imagemeta"

	"huewright/colour/sensor"
	"huewright/imageio/internal/dng"
	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// A Picture is a decoded picture and what its file says about it.
type Picture struct {
	Format      Format
	Image       image.Image     // the codes, before Orientation is applied
	YCC         *icc.YCCRule    // how luma and colour difference become R, G, B
	Inks        bool            // the codes are amounts of cyan, magenta, yellow and black
	Lab         int             // photometric kind of a TIFF in L*a*b*, else 0
	Sensor      *sensor.Profile // of a raw photo; else nil
	Orientation int             // as numbered by EXIF, 1–8; 0 when nothing says it
	Facts       ShootingFacts
	Warnings    []fault.Note

	width, height int         // as declared, before Orientation
	memory        int64       // that decoding takes beside the file, bytes
	decoder       int64       // what of it the decoder of a HEIC or AVIF takes
	coded         int64       // pixels that the decoder of a HEIC or AVIF goes through
	frame         jpegFrame   // of a JPEG
	raw           *dng.Raw    // of a raw photo
	profile       []byte      // embedded ICC profile
	coding        *icc.Coding // colours by code points instead of a profile
	colourSpace   colourSpace // as the camera noted it
	exif          []byte      // a TIFF structure, or a whole file that holds one
	exifIn        imagemeta.ImageFormat
}

func (p *Picture) note(n fault.Note) { p.Warnings = append(p.Warnings, n) }
