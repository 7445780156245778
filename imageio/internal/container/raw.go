package container

import (
	"context"
	"errors"
	"image"

	"huewright/imageio/internal/dng"
	"huewright/internal/fault"
)

// readRaw reads the tags of a raw photo.
func readRaw(data []byte, p *Picture) *fault.Fault {
	raw, err := dng.Read(data)
	if err != nil {
		return unread(err)
	}
	p.raw, p.Sensor, p.Orientation = raw, &raw.Colours, raw.Orientation
	p.width, p.height = raw.Wide, raw.High
	p.memory, p.exif = raw.Memory(), data
	if raw.Skipped {
		p.note(fault.Say("photo.raw-steps"))
	}
	return nil
}

// decodeRaw decodes the samples.
func decodeRaw(ctx context.Context, raw *dng.Raw) (img image.Image, err error) {
	defer survive(&img, &err)
	picture, err := raw.Decode(ctx)
	if err != nil {
		return nil, err
	}
	return picture, nil
}

// unread tells raw photos that are not read from those that are broken.
func unread(err error) *fault.Fault {
	var kind *dng.KindError
	switch {
	case errors.Is(err, dng.ErrNotRaw):
		return fault.New(fault.Photo, "photo.raw").Because(err)
	case errors.Is(err, dng.ErrShort):
		return fault.New(fault.Photo, "photo.cut-short").Because(err)
	case !errors.As(err, &kind):
		return damaged(formatDNG, err)
	}
	switch kind.Kind {
	case dng.KindLossy, dng.KindXL, dng.KindDeflate, dng.KindPacking:
		return fault.New(fault.Photo, "photo.raw-packed").Because(err)
	case dng.KindMatrix:
		return fault.New(fault.Photo, "photo.raw-colours").Because(err)
	}
	return fault.New(fault.Photo, "photo.raw-layout").Because(err)
}
