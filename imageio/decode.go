package imageio

import (
	"context"
	"errors"
	"fmt"
	"image"

	"huewright/imageio/internal/container"
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits struct {
	// Megapixels that a picture may declare; default 120, and 64 for HEIC, AVIF and WebP, whose
	// decoders take several times as much memory.
	Megapixels float64
	// Megabytes that a file may have; default 1300, a TIFF of 200 megapixels at 16 bits.
	Megabytes float64
}

func (l Limits) pixels(kind container.Format) int64 {
	switch {
	case l.Megapixels > 0:
		return int64(l.Megapixels * 1e6)
	case kind == container.FormatHEIC, kind == container.FormatAVIF, kind == container.FormatWebP:
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

const ()

// Decode makes a Photo from the bytes of a file. The name is for messages: the format is told
// by content. Every error is a *PhotoError, or that of the context: JPEG, PNG, TIFF and WebP stop
// wherever their decoder asks for more of the file. Those of HEIC and AVIF cannot be stopped within a
// picture, which takes seconds where it is large: the context is heeded before and after each.
func Decode(ctx context.Context, data []byte, name string) (*Photo, error) {
	return DecodeWithin(ctx, data, name, Limits{})
}

// DecodeWithin is Decode with limits of its own.
func DecodeWithin(ctx context.Context, data []byte, name string, limits Limits) (*Photo, error) {
	photo, fault := decode(ctx, data, limits)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if fault != nil {
		fault.Path = name
		return nil, fault
	}
	photo.Path = name
	return photo, nil
}

func decode(ctx context.Context, data []byte, limits Limits) (*Photo, *PhotoError) {
	if int64(len(data)) > limits.bytes() {
		return nil, &PhotoError{Problem: fmt.Sprintf("is %.0f MB long, and the limit is %.0f", float64(len(data))/1e6, float64(limits.bytes())/1e6), Advice: container.TooLongAdvice}
	}
	kind, fault := container.Sniff(data)
	if fault != nil {
		return nil, fault
	}
	file, fault := container.ReadEnvelope(kind, data)
	if fault != nil {
		return nil, fault
	}
	if file.Width < 1 || file.Height < 1 {
		return nil, container.Damaged(kind, "does not say how large it is")
	}
	if most := limits.pixels(kind); int64(file.Width)*int64(file.Height) > most {
		return nil, &PhotoError{
			Problem: fmt.Sprintf("is %d × %d pixels, too large to read: the limit for a %s is %.0f megapixels", file.Width, file.Height, kind, float64(most)/1e6),
			Advice:  container.TooLargeAdvice,
		}
	}
	if int64(file.Width)*int64(file.Height)/kind.PixelsInByte() > int64(len(data)) {
		return nil, container.Damaged(kind, "it is too short for the size it gives")
	}
	if file.Coding != nil && file.ICC == nil && file.Coding.HighRange() {
		return nil, &PhotoError{
			Problem: "is in high dynamic range, whose colours depend on the screen",
			Advice:  "switch that off in the camera, or export the photo as an ordinary JPEG",
		}
	}
	if file.Inks && !file.InkProfile() {
		return nil, &PhotoError{
			Problem: "is in print colours (CMYK) without a profile that says for which press and paper",
			Advice:  "use the photo as the camera made it, or convert it to RGB with the profile embedded",
		}
	}
	if file.Lab != 0 {
		data = container.LabAsRGB(data)
	}
	img, err := container.DecodePixels(ctx, kind, data)
	if errors.Is(err, container.ErrUndecodable) {
		return nil, &PhotoError{Problem: fmt.Sprintf("is a %s that %v", kind, err), Advice: "export it as JPEG on the phone; if that fails too, take the photo again"}
	}
	if err != nil {
		return nil, container.Undecoded(kind, err)
	}
	return assemble(kind, file, img)
}

func assemble(kind container.Format, file container.Envelope, img image.Image) (*Photo, *PhotoError) {
	file.CorrectRange(img)
	pixels, err := newRaster(img, file.YCC)
	if err != nil {
		return nil, &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %v", kind, err), Advice: container.ExportAdvice}
	}
	facts, whole := container.ReadFacts(file.EXIF, file.EXIFIn)
	if !whole {
		file.Warn("what the camera noted about the photo is damaged: its orientation and settings may be wrong")
	}
	if file.Lab != 0 {
		pixels.asLab(file.Lab)
	}
	p := &Photo{Format: string(kind), Facts: facts.ShootingFacts, pixels: pixels}
	p.transfer, p.Profile = file.Meaning(pixels.bits, facts)
	p.lies = orientation{number: facts.Orientation, width: pixels.width, height: pixels.height}
	if file.Orientation != 0 {
		p.lies.number = file.Orientation
	}
	p.Width, p.Height = pixels.width, pixels.height
	if p.lies.swapped() {
		p.Width, p.Height = p.Height, p.Width
	}
	if file.Inks {
		file.Warn("in print colours (CMYK): read by the press profile they were made for, which has fewer colours than the camera saw; the photo as the camera made it is better")
	}
	if pixels.opaque != nil {
		file.Warn("parts of the picture are transparent: areas must keep clear of them")
	}
	p.Warnings = append(file.Warnings, p.Facts.Warnings()...)
	return p, nil
}
