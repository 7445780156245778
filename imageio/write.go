package imageio

import (
	"context"
	"image"
	"image/jpeg"
	"image/png"
	"io"

	"huewright/internal/atomicfile"
)

// WritePNG writes a picture to a file, whole or not at all: readers see the old file or the
// new one. Codes are meant as sRGB. Every error is one of [atomicfile.Write], or that of the context.
func WritePNG(ctx context.Context, path string, img image.Image) error {
	return writePicture(ctx, path, func(w io.Writer) error { return png.Encode(w, img) })
}

// WriteJPEG is WritePNG for JPEG of quality 1–100; 0 is 90.
func WriteJPEG(ctx context.Context, path string, img image.Image, quality int) error {
	if quality == 0 {
		quality = 90
	}
	return writePicture(ctx, path, func(w io.Writer) error { return jpeg.Encode(w, img, &jpeg.Options{Quality: quality}) })
}

func writePicture(ctx context.Context, path string, encode func(io.Writer) error) error {
	err := atomicfile.Write(path, func(w io.Writer) error { return encode(contextWriter{ctx, w}) })
	if ended := ctx.Err(); err != nil && ended != nil {
		return ended
	}
	return err
}

// A contextWriter fails once its context has ended: encoders take none, but stop where they cannot write.
type contextWriter struct {
	ctx context.Context
	to  io.Writer
}

func (w contextWriter) Write(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.to.Write(p)
}
