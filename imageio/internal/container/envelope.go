package container

import (
	"bytes"
	"fmt"
	"image"

	"github.com/bep/imagemeta"

	"huewright/imageio/internal/icc"
)

// Envelope is what a file says about its picture besides the pixels.
type Envelope struct {
	Width, Height int          // as declared, in stored orientation
	YCC           *icc.YCCRule // how luma and colour difference become R, G, B
	ICC           []byte       // embedded profile
	Inks          bool         // the codes are amounts of cyan, magenta, yellow and black
	Lab           int          // photometric kind of a TIFF in L*a*b*, else 0
	Coding        *icc.Coding  // colours by code points instead of a profile
	EXIF          []byte       // what the camera noted: a TIFF structure, or a whole file that holds one
	EXIFIn        imagemeta.ImageFormat
	Orientation   int // as numbered by EXIF, when the container settles it; 0 leaves it to EXIF
	Warnings      []string
}

func (e *Envelope) Warn(format string, args ...any) {
	e.Warnings = append(e.Warnings, fmt.Sprintf(format, args...))
}

func ReadEnvelope(kind Format, data []byte) (Envelope, *PhotoError) {
	file := Envelope{YCC: icc.JFIFRule, EXIFIn: imagemeta.TIFF}
	var fault *PhotoError
	switch kind {
	case formatJPEG:
		fault = readJPEG(data, &file)
	case formatPNG:
		readPNG(data, &file)
	case formatTIFF:
		fault = readTIFF(data, &file)
	case FormatWebP:
		fault = readWebP(data, &file)
	case FormatHEIC, FormatAVIF:
		return file, readHEIF(kind, data, &file)
	}
	if fault != nil {
		return file, fault
	}
	if file.Lab != 0 {
		data = LabAsRGB(data)
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return file, Undecoded(kind, err)
	}
	file.Width, file.Height = config.Width, config.Height
	return file, nil
}
