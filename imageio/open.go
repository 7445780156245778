package imageio

import (
	"context"
	"errors"
	"io/fs"
	"os"

	"huewright/imageio/internal/container"
	"huewright/internal/fault"
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits = container.Limits

// Open reads a photo. Every error is a *PhotoError, or that of the context. See Decode for where it stops.
func Open(ctx context.Context, path string) (*Photo, error) { return OpenWithin(ctx, path, Limits{}) }

// OpenWithin is Open with limits of its own.
func OpenWithin(ctx context.Context, path string, limits Limits) (*Photo, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &PhotoError{Path: path, Problem: "no such file", Advice: "check the name and the folder"}
	case err != nil:
		return nil, unreadable(path, err)
	case info.IsDir():
		return nil, &PhotoError{Path: path, Problem: "is a folder", Advice: "name one photo in it"}
	case !info.Mode().IsRegular():
		return nil, &PhotoError{Path: path, Problem: "is not a file", Advice: "copy the photo to a file and name that"}
	}
	if fault := container.TooLong(info.Size(), limits); fault != nil {
		fault.Path = path
		return nil, fault
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, unreadable(path, err)
	}
	return DecodeWithin(ctx, data, path, limits)
}

func unreadable(path string, err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		err = pathErr.Err // the path stands before it already
	}
	return &PhotoError{
		Path: path, Problem: "cannot be read: " + err.Error(),
		Advice: "check that the file is yours to read and its disk is connected",
	}
}

// Decode makes a Photo from the bytes of a file. The name is for messages: the format is told
// by content. Every error is a *PhotoError, or that of the context: JPEG, PNG, TIFF and WebP stop
// wherever their decoder asks for more of the file. Those of HEIC and AVIF cannot be stopped within a
// picture, which takes seconds where it is large: the context is heeded before and after each.
func Decode(ctx context.Context, data []byte, name string) (*Photo, error) {
	return DecodeWithin(ctx, data, name, Limits{})
}

// DecodeWithin is Decode with limits of its own.
func DecodeWithin(ctx context.Context, data []byte, name string, limits Limits) (*Photo, error) {
	picture, fault := container.Decode(ctx, data, limits)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var photo *Photo
	if fault == nil {
		photo, fault = assemble(picture)
	}
	if fault != nil {
		fault.Path = name
		return nil, fault
	}
	photo.Path = name
	return photo, nil
}

// assemble makes a Photo, without a path, of a decoded picture.
func assemble(picture *container.Picture) (*Photo, *PhotoError) {
	pixels, err := newRaster(picture.Image, picture.YCC)
	if err != nil {
		return nil, container.UnknownKind(picture.Format, err.Error())
	}
	if picture.Lab != 0 {
		pixels.asLab(picture.Lab)
	}
	p := &Photo{Format: string(picture.Format), Width: pixels.width, Height: pixels.height, Facts: picture.Facts, pixels: pixels}
	p.transfer, p.Profile = picture.Meaning(pixels.bits)
	p.turned = orientation{number: picture.Orientation, width: pixels.width, height: pixels.height}
	if p.turned.swapped() {
		p.Width, p.Height = p.Height, p.Width
	}
	p.Warnings = picture.Warnings
	if picture.Inks {
		p.Warnings = append(p.Warnings, fault.Saying("in print colours (CMYK): read by the press profile they were made for, "+
			"which has fewer colours than the camera saw; the photo as the camera made it is better"))
	}
	if pixels.opaque != nil {
		p.Warnings = append(p.Warnings, fault.Saying("parts of the picture are transparent: areas must keep clear of them"))
	}
	p.Warnings = append(p.Warnings, p.Facts.Warnings()...)
	return p, nil
}
