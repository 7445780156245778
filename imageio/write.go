package imageio

import (
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"huewright/internal/atomicfile"
)

// WritePNG writes a picture to a file, whole or not at all: readers see the old file or the
// new one. Codes are meant as sRGB. Every error is an *atomicfile.WriteError.
func WritePNG(path string, img image.Image) error {
	return atomicfile.Write(path, func(w io.Writer) error { return png.Encode(w, img) })
}

// WriteJPEG is WritePNG for JPEG of quality 1–100; 0 is 90.
func WriteJPEG(path string, img image.Image, quality int) error {
	if quality == 0 {
		quality = 90
	}
	return atomicfile.Write(path, func(w io.Writer) error { return jpeg.Encode(w, img, &jpeg.Options{Quality: quality}) })
}
