package imageio

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
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits struct {
	// Megapixels that a picture may declare; default 120, and 64 for HEIC, AVIF and WebP, whose
	// decoders take several times as much memory.
	Megapixels float64
	// Megabytes that a file may have; default 1300, a TIFF of 200 megapixels at 16 bits.
	Megabytes float64
}

func (l Limits) pixels(kind format) int64 {
	switch {
	case l.Megapixels > 0:
		return int64(l.Megapixels * 1e6)
	case kind == formatHEIC, kind == formatAVIF, kind == formatWebP:
		return 64_000_000
	}
	return 120_000_000
}

func (l Limits) bytes() int64 {
	if l.Megabytes > 0 {
		return int64(l.Megabytes * 1e6)
	}
	return 1_300_000_000
}

const (
	tooLargeAdvice = "save it smaller: 50 megapixels are more than enough; or raise the limit, as in --limit megapixels=200"
	tooLongAdvice  = "save it as a JPEG; or raise the limit, as in --limit megabytes=2000"
	damagedAdvice  = "copy it again from the phone or camera; if that does not help, take the photo again"
	rawAdvice      = "export it from the raw program as a 16-bit TIFF or PNG, or as a JPEG, with the profile embedded"
)

// pixelsInByte is more pixels than a byte of a file can hold, whatever they show, so that a
// short file that claims to be large is told before memory is taken for it. A JPEG spends a bit
// on each block of 8 × 8; deflate packs 1032 bytes in one, and LZW up to 3838 in 12 bits, of 8
// pixels each. The other formats spend nothing on one colour: their size is bounded alone.
func (f format) pixelsInByte() int64 {
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

// Decode makes a Photo from the bytes of a file. The name is for messages: the format is told
// by content. Every error is a *PhotoError.
func Decode(ctx context.Context, data []byte, name string) (*Photo, error) {
	return DecodeWithin(ctx, data, name, Limits{})
}

// DecodeWithin is Decode with limits of its own.
func DecodeWithin(ctx context.Context, data []byte, name string, limits Limits) (*Photo, error) {
	photo, fault := decode(data, limits)
	if fault != nil {
		fault.Path = name
		return nil, fault
	}
	photo.Path = name
	return photo, nil
}

func decode(data []byte, limits Limits) (*Photo, *PhotoError) {
	if int64(len(data)) > limits.bytes() {
		return nil, &PhotoError{Problem: fmt.Sprintf("is %.0f MB long, and the limit is %.0f", float64(len(data))/1e6, float64(limits.bytes())/1e6), Advice: tooLongAdvice}
	}
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
	if most := limits.pixels(kind); int64(file.width)*int64(file.height) > most {
		return nil, &PhotoError{
			Problem: fmt.Sprintf("is %d × %d pixels, too large to read: the limit for a %s is %.0f megapixels", file.width, file.height, kind, float64(most)/1e6),
			Advice:  tooLargeAdvice,
		}
	}
	if int64(file.width)*int64(file.height)/kind.pixelsInByte() > int64(len(data)) {
		return nil, damaged(kind, "it is too short for the size it gives")
	}
	if file.coding != nil && file.icc == nil && file.coding.highRange() {
		return nil, &PhotoError{
			Problem: "is in high dynamic range, whose colours depend on the screen",
			Advice:  "switch that off in the camera, or export the photo as an ordinary JPEG",
		}
	}
	if file.inks && !file.inkProfile() {
		return nil, &PhotoError{
			Problem: "is in print colours (CMYK) without a profile that says for which press and paper",
			Advice:  "use the photo as the camera made it, or convert it to RGB with the profile embedded",
		}
	}
	if file.lab != 0 {
		data = labAsRGB(data)
	}
	img, err := decodePixels(kind, data)
	if errors.Is(err, errUndecodable) {
		return nil, &PhotoError{Problem: fmt.Sprintf("is a %s that %v", kind, err), Advice: "export it as JPEG on the phone; if that fails too, take the photo again"}
	}
	if err != nil {
		return nil, undecoded(kind, err)
	}
	return assemble(kind, file, img)
}

func assemble(kind format, file envelope, img image.Image) (*Photo, *PhotoError) {
	file.correctRange(img)
	pixels, err := newRaster(img, file.ycc)
	if err != nil {
		return nil, &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %v", kind, err), Advice: exportAdvice}
	}
	facts, whole := readFacts(file.exif, file.exifIn)
	if !whole {
		file.warn("what the camera noted about the photo is damaged: its orientation and settings may be wrong")
	}
	if file.lab != 0 {
		pixels.asLab(file.lab)
	}
	p := &Photo{Format: string(kind), Facts: facts.ShootingFacts, pixels: pixels}
	p.transfer, p.Profile = file.meaning(pixels.bits, facts)
	p.lies = orientation{number: facts.orientation, width: pixels.width, height: pixels.height}
	if file.orientation != 0 {
		p.lies.number = file.orientation
	}
	p.Width, p.Height = pixels.width, pixels.height
	if p.lies.swapped() {
		p.Width, p.Height = p.Height, p.Width
	}
	if file.inks {
		file.warn("in print colours (CMYK): read by the press profile they were made for, which has fewer colours than the camera saw; the photo as the camera made it is better")
	}
	if pixels.opaque != nil {
		file.warn("parts of the picture are transparent: areas must keep clear of them")
	}
	p.Warnings = append(file.warnings, p.Facts.warnings()...)
	return p, nil
}

// meaning chooses what the codes stand for: the embedded profile first, then code points,
// then the camera's own note, then sRGB.
func (e *envelope) meaning(bits int, facts noted) (*transfer, string) {
	switch {
	case e.lab != 0:
		return labTransfer, "L*a*b*"
	case e.icc != nil:
		p, err := parseProfile(e.icc)
		if err == nil && p.inks != e.inks {
			err = errors.New("is for other colours than the picture has")
		}
		if err == nil {
			return newTransfer(p, bits), p.description
		}
		if p == nil {
			e.warn("the colour profile %v: colours are taken as sRGB", err)
			break
		}
		e.warn("the colour profile (%s) %v: colours are taken as sRGB", p.description, err)
	case e.coding != nil:
		p, warning := e.coding.profile()
		if warning != "" {
			e.warn("%s", warning)
		}
		return newTransfer(p, bits), p.description
	case facts.wideGamut:
		p := opRGBProfile()
		return newTransfer(p, bits), p.description
	case facts.uncalibrated:
		e.warn("the camera notes that its colours are not sRGB, but gives no profile: colours are taken as sRGB")
	}
	return srgbTransfer(bits), AssumedProfile
}

// inkProfile reports whether the embedded profile can say what inks look like.
func (e *envelope) inkProfile() bool {
	p, err := parseProfile(e.icc)
	return err == nil && p.inks
}

func damaged(kind format, why string) *PhotoError {
	return &PhotoError{Problem: fmt.Sprintf("is a damaged %s: %s", kind, why), Advice: damagedAdvice}
}

// undecoded tells what a decoder does not know from what is broken.
func undecoded(kind format, err error) *PhotoError {
	var inJPEG jpeg.UnsupportedError
	var inPNG png.UnsupportedError
	var inTIFF tiff.UnsupportedError
	if errors.As(err, &inJPEG) || errors.As(err, &inPNG) || errors.As(err, &inTIFF) {
		return &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %s", kind, plainFault(err)), Advice: exportAdvice}
	}
	return damaged(kind, plainFault(err))
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
	case formatHEIC:
		return decodeHEIC(data)
	case formatAVIF:
		return decodeAVIF(data)
	}
	return nil, fmt.Errorf("no decoder for %s", kind)
}
