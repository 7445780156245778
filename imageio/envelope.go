package imageio

import (
	"bytes"
	"fmt"
	"image"

	"github.com/bep/imagemeta"
)

// envelope is what a file says about its picture besides the pixels.
type envelope struct {
	width, height int      // as declared, in stored orientation
	ycc           *yccRule // how luma and colour difference become R, G, B
	icc           []byte   // embedded profile
	inks          bool     // the codes are amounts of cyan, magenta, yellow and black
	lab           int      // photometric kind of a TIFF in L*a*b*, else 0
	coding        *coding  // colours by code points instead of a profile
	exif          []byte   // what the camera noted: a TIFF structure, or a whole file that holds one
	exifIn        imagemeta.ImageFormat
	orientation   int // as numbered by EXIF, when the container settles it; 0 leaves it to EXIF
	warnings      []string
}

func (e *envelope) warn(format string, args ...any) {
	e.warnings = append(e.warnings, fmt.Sprintf(format, args...))
}

func readEnvelope(kind format, data []byte) (envelope, *PhotoError) {
	file := envelope{ycc: jfifRule, exifIn: imagemeta.TIFF}
	var fault *PhotoError
	switch kind {
	case formatJPEG:
		fault = readJPEG(data, &file)
	case formatPNG:
		readPNG(data, &file)
	case formatTIFF:
		fault = readTIFF(data, &file)
	case formatWebP:
		fault = readWebP(data, &file)
	case formatHEIC, formatAVIF:
		return file, readHEIF(kind, data, &file)
	}
	if fault != nil {
		return file, fault
	}
	if file.lab != 0 {
		data = labAsRGB(data)
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return file, undecoded(kind, err)
	}
	file.width, file.height = config.Width, config.Height
	return file, nil
}
