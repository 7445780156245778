package container

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	"github.com/bep/imagemeta"
	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"

	"huewright/imageio/internal/icc"
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits struct {
	// Megapixels that a picture may declare; default 120, and 64 for HEIC, AVIF and WebP, whose
	// decoders take several times as much memory.
	Megapixels float64
	// Megabytes that a file may have; default 1300, a TIFF of 200 megapixels at 16 bits.
	Megabytes float64
}

func (l Limits) pixels(format Format) int64 {
	switch {
	case l.Megapixels > 0:
		return int64(l.Megapixels * 1e6)
	case format == formatHEIC, format == formatAVIF, format == formatWebP:
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

// TooLong refuses a file of more bytes than the limits allow; nil lets it pass.
func TooLong(size int64, limits Limits) *PhotoError {
	most := limits.bytes()
	if size <= most {
		return nil
	}
	return &PhotoError{
		Problem: fmt.Sprintf("is %.0f MB long, and the limit is %.0f", float64(size)/1e6, float64(most)/1e6),
		Advice:  "save it as a JPEG; or raise the limit, as in --limit megabytes=2000",
	}
}

// Decode reads a picture, whose format it tells by content. What the file says of itself is checked before
// the pixels are decoded. The error has no path. It may be due to the end of the context, which is to be
// asked first.
func Decode(ctx context.Context, data []byte, limits Limits) (*Picture, *PhotoError) {
	if fault := TooLong(int64(len(data)), limits); fault != nil {
		return nil, fault
	}
	format, fault := sniff(data)
	if fault != nil {
		return nil, fault
	}
	p, fault := readEnvelope(format, data)
	if fault != nil {
		return nil, fault
	}
	if fault := p.check(len(data), limits); fault != nil {
		return nil, fault
	}
	if p.Lab != 0 {
		data = labAsRGB(data)
	}
	var err error
	p.Image, err = decodePixels(ctx, format, data)
	if errors.Is(err, errUndecodable) {
		return nil, &PhotoError{
			Problem: fmt.Sprintf("is a %s that %v", format, err),
			Advice:  "export it as JPEG on the phone; if that fails too, take the photo again",
		}
	}
	if err != nil {
		return nil, undecoded(format, err)
	}
	p.correctRange()
	facts, whole := readFacts(p.exif, p.exifIn)
	if !whole {
		p.warn("what the camera noted about the photo is damaged: its orientation and settings may be wrong")
	}
	p.Facts, p.colourSpace = facts.ShootingFacts, facts.colourSpace
	if p.Orientation == 0 {
		p.Orientation = facts.orientation
	}
	return p, nil
}

// readEnvelope reads what the file says about its picture besides the pixels.
func readEnvelope(format Format, data []byte) (*Picture, *PhotoError) {
	p := &Picture{Format: format, YCC: icc.JFIFRule, exifIn: imagemeta.TIFF}
	var fault *PhotoError
	switch format {
	case formatJPEG:
		readJPEG(data, p)
	case formatPNG:
		readPNG(data, p)
	case formatTIFF:
		fault = readTIFF(data, p)
	case formatWebP:
		fault = readWebP(data, p)
	case formatHEIC, formatAVIF:
		return p, readHEIF(data, p)
	}
	if fault != nil {
		return nil, fault
	}
	if p.Lab != 0 {
		data = labAsRGB(data)
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, undecoded(format, err)
	}
	p.width, p.height = config.Width, config.Height
	return p, nil
}

// check refuses a picture of the size and colours that its file of so many bytes declares.
func (p *Picture) check(size int, limits Limits) *PhotoError {
	if p.width < 1 || p.height < 1 {
		return damaged(p.Format, "does not say how large it is")
	}
	pixels := int64(p.width) * int64(p.height)
	if most := limits.pixels(p.Format); pixels > most {
		return &PhotoError{
			Problem: fmt.Sprintf("is %d × %d pixels, too large to read: the limit for a %s is %.0f megapixels",
				p.width, p.height, p.Format, float64(most)/1e6),
			Advice: "save it smaller: 50 megapixels are more than enough; or raise the limit, as in --limit megapixels=200",
		}
	}
	if pixels/p.Format.pixelsInByte() > int64(size) {
		return damaged(p.Format, "it is too short for the size it gives")
	}
	if p.coding != nil && p.profile == nil && p.coding.HighRange() {
		return &PhotoError{
			Problem: "is in high dynamic range, whose colours depend on the screen",
			Advice:  "switch that off in the camera, or export the photo as an ordinary JPEG",
		}
	}
	if p.Inks && !p.hasInkProfile() {
		return &PhotoError{
			Problem: "is in print colours (CMYK) without a profile that says for which press and paper",
			Advice:  "use the photo as the camera made it, or convert it to RGB with the profile embedded",
		}
	}
	return nil
}

// decodePixels runs the decoder of a format. A decoder that panics on a damaged file is a
// damaged file, not the end of the program.
func decodePixels(ctx context.Context, kind Format, data []byte) (img image.Image, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			img, err = nil, fmt.Errorf("its decoder gave up (%v)", fault)
		}
	}()
	in := contextReader{ctx, bytes.NewReader(data)}
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
		return decodeHEIC(ctx, data)
	case formatAVIF:
		return decodeAVIF(ctx, data)
	}
	return nil, fmt.Errorf("no decoder for %s", kind)
}
