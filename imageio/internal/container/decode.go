package container

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"strings"

	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"

	"huewright/imageio/internal/icc"
)

const (
	TooLargeAdvice = "save it smaller: 50 megapixels are more than enough; or raise the limit, as in --limit megapixels=200"
)

const (
	TooLongAdvice = "save it as a JPEG; or raise the limit, as in --limit megabytes=2000"
)

const (
	damagedAdvice = "copy it again from the phone or camera; if that does not help, take the photo again"
)

const (
	rawAdvice = "export it from the raw program as a 16-bit TIFF or PNG, or as a JPEG, with the profile embedded"
)

// PixelsInByte is more pixels than a byte of a file can hold, whatever they show, so that a
// short file that claims to be large is told before memory is taken for it. A JPEG spends a bit
// on each block of 8 × 8; deflate packs 1032 bytes in one, and LZW up to 3838 in 12 bits, of 8
// pixels each. The other formats spend nothing on one colour: their size is bounded alone.
func (f Format) PixelsInByte() int64 {
	switch f {
	case formatJPEG:
		return 8 * 64
	case formatPNG:
		return 8 * 1032
	case formatTIFF:
		return 8 * 3838
	}
	return 1 << 40
}

// Meaning chooses what the codes stand for: the embedded profile first, then code points,
// then the camera's own note, then sRGB.
func (e *Envelope) Meaning(bits int, facts noted) (*icc.Transfer, string) {
	switch {
	case e.Lab != 0:
		return icc.LabTransfer, "L*a*b*"
	case e.ICC != nil:
		p, err := icc.ParseProfile(e.ICC)
		if err == nil && p.Inks != e.Inks {
			err = errors.New("is for other colours than the picture has")
		}
		if err == nil {
			return icc.NewTransfer(p, bits), p.Description
		}
		if p == nil {
			e.Warn("the colour profile %v: colours are taken as sRGB", err)
			break
		}
		e.Warn("the colour profile (%s) %v: colours are taken as sRGB", p.Description, err)
	case e.Coding != nil:
		p, warning := e.Coding.Profile()
		if warning != "" {
			e.Warn("%s", warning)
		}
		return icc.NewTransfer(p, bits), p.Description
	case facts.wideGamut:
		p := icc.OpRGBProfile()
		return icc.NewTransfer(p, bits), p.Description
	case facts.uncalibrated:
		e.Warn("the camera notes that its colours are not sRGB, but gives no profile: colours are taken as sRGB")
	}
	return icc.SRGBTransfer(bits), AssumedProfile
}

// InkProfile reports whether the embedded profile can say what inks look like.
func (e *Envelope) InkProfile() bool {
	p, err := icc.ParseProfile(e.ICC)
	return err == nil && p.Inks
}

func Damaged(kind Format, why string) *PhotoError {
	return &PhotoError{Problem: fmt.Sprintf("is a damaged %s: %s", kind, why), Advice: damagedAdvice}
}

// Undecoded tells what a decoder does not know from what is broken.
func Undecoded(kind Format, err error) *PhotoError {
	var inJPEG jpeg.UnsupportedError
	var inPNG png.UnsupportedError
	var inTIFF tiff.UnsupportedError
	if errors.As(err, &inJPEG) || errors.As(err, &inPNG) || errors.As(err, &inTIFF) {
		return &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %s", kind, plainFault(err)), Advice: ExportAdvice}
	}
	return Damaged(kind, plainFault(err))
}

// plainFault is a decoder's complaint without the names it puts before it.
func plainFault(err error) string {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "it ends too early"
	}
	s := err.Error()
	for _, prefix := range []string{"jpeg: ", "png: ", "tiff: ", "webp: ", "vp8l: ", "riff: ", "invalid JPEG format: ", "invalid format: ", "unsupported JPEG feature: ", "unsupported feature: "} {
		s = strings.TrimPrefix(s, prefix)
	}
	return s
}

// DecodePixels runs the decoder of a format. A decoder that panics on a damaged file is a
// damaged file, not the end of the program.
func DecodePixels(ctx context.Context, kind Format, data []byte) (img image.Image, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			img, err = nil, fmt.Errorf("its decoder gave up (%v)", fault)
		}
	}()
	in := heeding{ctx, bytes.NewReader(data)}
	switch kind {
	case formatJPEG:
		return jpeg.Decode(in)
	case formatPNG:
		return png.Decode(in)
	case formatTIFF:
		return tiff.Decode(in)
	case FormatWebP:
		return webp.Decode(in)
	case FormatHEIC:
		return decodeHEIC(ctx, data)
	case FormatAVIF:
		return decodeAVIF(ctx, data)
	}
	return nil, fmt.Errorf("no decoder for %s", kind)
}
