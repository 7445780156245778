package imageio

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"
)

// maxPixels bounds the pictures we decode, by the size they declare: 200 megapixels is the
// most that cameras of phones deliver, and a small file can declare far more.
const maxPixels = 200_000_000

const (
	tooLargeAdvice = "save it smaller: 50 megapixels are more than enough"
	damagedAdvice  = "copy it again from the phone or camera; if that does not help, take the photo again"
	rawAdvice      = "export it from the raw program as a 16-bit TIFF or PNG, or as a JPEG, with the profile embedded"
)

// Decode makes a Photo from the bytes of a file. The name is for messages: the format is told
// by content. Every error is a *PhotoError.
func Decode(data []byte, name string) (*Photo, error) {
	photo, fault := decode(data)
	if fault != nil {
		fault.Path = name
		return nil, fault
	}
	photo.Path = name
	return photo, nil
}

func decode(data []byte) (*Photo, *PhotoError) {
	kind, fault := sniff(data)
	if fault != nil {
		return nil, fault
	}
	file, fault := readEnvelope(kind, data)
	if fault != nil {
		return nil, fault
	}
	if file.width < 1 || file.height < 1 {
		return nil, damaged(kind, "does not say how large it is")
	}
	if int64(file.width)*int64(file.height) > maxPixels {
		return nil, &PhotoError{
			Problem: fmt.Sprintf("is %d × %d pixels, too large to read", file.width, file.height),
			Advice:  tooLargeAdvice,
		}
	}
	img, err := decodePixels(kind, data)
	if err != nil {
		return nil, damaged(kind, err.Error())
	}
	return assemble(kind, data, file, img)
}

func assemble(kind format, data []byte, file envelope, img image.Image) (*Photo, *PhotoError) {
	pixels, err := newRaster(img, file.ycc)
	if err != nil {
		return nil, &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %v", kind, err), Advice: exportAdvice}
	}
	p := &Photo{Format: string(kind), pixels: pixels, Profile: AssumedProfile}
	p.lies = orientation{width: pixels.width, height: pixels.height}
	p.Width, p.Height = pixels.width, pixels.height
	if p.lies.swapped() {
		p.Width, p.Height = p.Height, p.Width
	}
	p.transfer = srgbTransfer(pixels.bits)
	return p, nil
}

func damaged(kind format, why string) *PhotoError {
	return &PhotoError{Problem: fmt.Sprintf("is a damaged %s: %s", kind, why), Advice: damagedAdvice}
}

// decodePixels runs the decoder of a format. A decoder that panics on a damaged file is a
// damaged file, not the end of the program.
func decodePixels(kind format, data []byte) (img image.Image, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			img, err = nil, fmt.Errorf("its decoder gave up (%v)", fault)
		}
	}()
	in := bytes.NewReader(data)
	switch kind {
	case formatJPEG:
		return jpeg.Decode(in)
	case formatPNG:
		return png.Decode(in)
	case formatTIFF:
		return tiff.Decode(in)
	case formatWebP:
		return webp.Decode(in)
	}
	return nil, fmt.Errorf("no decoder for %s", kind)
}
