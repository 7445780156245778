package imageio

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"

	"huewright/imageio/internal/container"
	"huewright/imageio/internal/dng"
	"huewright/internal/fault"
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits = container.Limits

// Open reads a photo. Every error is a fault of kind Photo with the path, or that of the context. See Decode for where
// it stops.
func Open(ctx context.Context, path string) (*Photo, error) { return OpenWithin(ctx, path, Limits{}) }

// OpenWithin is Open with limits of its own.
func OpenWithin(ctx context.Context, path string, limits Limits) (*Photo, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, in(path, fault.New(fault.Photo, "photo.no-file"))
	case err != nil:
		return nil, in(path, fault.New(fault.Photo, "photo.unreadable").Because(err))
	case info.IsDir():
		return nil, in(path, fault.New(fault.Photo, "photo.folder"))
	case !info.Mode().IsRegular():
		return nil, in(path, fault.New(fault.Photo, "photo.not-a-file"))
	}
	if wrong := container.TooLong(info.Size(), limits); wrong != nil {
		return nil, in(path, wrong)
	}
	data, err := readWhole(path, int(info.Size()))
	if err != nil {
		return nil, in(path, fault.New(fault.Photo, "photo.unreadable").Because(err))
	}
	picture, again, wrong := container.DecodeOver(ctx, data, limits)
	if !again {
		return photoOf(ctx, picture, wrong, path)
	}
	if data, err = os.ReadFile(path); err != nil {
		return nil, in(path, fault.New(fault.Photo, "photo.unreadable").Because(err))
	}
	return DecodeWithin(ctx, data, path, limits)
}

// readWhole reads a file of about so many bytes, with room beyond its end for whoever decodes it where it lies.
func readWhole(path string, size int) ([]byte, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	const room = 4096
	data := bytes.NewBuffer(make([]byte, 0, size+room))
	_, err = data.ReadFrom(file)
	return data.Bytes(), err
}

// in is a fault of the photo of a path.
func in(path string, f *fault.Fault) error { return fault.In(f, fault.Place{File: path}) }

// Decode makes a Photo from the bytes of a file. The name is for messages: the format is told by content. Every
// error is a fault of kind Photo with the name as its place, or that of the context, which it heeds within a moment.
func Decode(ctx context.Context, data []byte, name string) (*Photo, error) {
	return DecodeWithin(ctx, data, name, Limits{})
}

// DecodeWithin is Decode with limits of its own.
func DecodeWithin(ctx context.Context, data []byte, name string, limits Limits) (*Photo, error) {
	picture, wrong := container.Decode(ctx, data, limits)
	return photoOf(ctx, picture, wrong, name)
}

// photoOf is the Photo of a name by what its decoding came to.
func photoOf(ctx context.Context, picture *container.Picture, wrong *fault.Fault, name string) (*Photo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if wrong != nil {
		return nil, in(name, wrong)
	}
	photo, wrong := assemble(picture)
	if wrong != nil {
		return nil, in(name, wrong)
	}
	photo.Path = name
	return photo, nil
}

// assemble makes a Photo, without a path, of a decoded picture.
func assemble(picture *container.Picture) (*Photo, *fault.Fault) {
	pixels, err := newRaster(picture.Image, picture.YCC)
	if err != nil {
		return nil, container.UnknownKind(picture.Format, err)
	}
	if picture.Lab != 0 {
		pixels.asLab(picture.Lab)
	}
	p := &Photo{Format: string(picture.Format), Width: pixels.width, Height: pixels.height, Facts: picture.Facts, pixels: pixels}
	if raw, is := picture.Image.(*dng.Picture); is {
		p.develop(raw, *picture.Sensor)
	} else {
		p.transfer, p.Profile = picture.Meaning(pixels.bits)
	}
	p.turned = orientation{number: picture.Orientation, width: pixels.width, height: pixels.height}
	if p.turned.swapped() {
		p.Width, p.Height = p.Height, p.Width
	}
	p.Warnings = picture.Warnings
	if picture.Inks {
		p.Warnings = append(p.Warnings, fault.Say("photo.inks"))
	}
	if pixels.opaque != nil {
		p.Warnings = append(p.Warnings, fault.Say("photo.transparent"))
	}
	p.Warnings = append(p.Warnings, p.Facts.Warnings()...)
	return p, nil
}

// Prepare readies, in the background, what decodes a photo of this name, where that takes a while: before the photo itself is there.
func Prepare(name string) { container.Prepare(name) }
