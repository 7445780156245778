package imageio

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"huewright/colour"
	"huewright/imageio/internal/container"
	"huewright/imageio/internal/icc"
)

// A Photo is a decoded picture, upright, whose light is read pixel by pixel. It does not
// change once made, so any number of goroutines may read it.
type Photo struct {
	Path          string // as the user gave it
	Format        string // "JPEG", "PNG", "TIFF", "WebP", "HEIC", "AVIF"
	Width, Height int    // upright, in pixels
	Facts         ShootingFacts
	Profile       string   // description of the colour profile, or AssumedProfile
	Warnings      []string // what makes the colours of this photo less sure

	pixels   *raster
	lies     orientation
	transfer *icc.Transfer
}

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
	case info.Size() > limits.bytes():
		return nil, &PhotoError{Path: path, Problem: fmt.Sprintf("is %.0f MB long, and the limit is %.0f", float64(info.Size())/1e6, float64(limits.bytes())/1e6), Advice: container.TooLongAdvice}
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
	return &PhotoError{Path: path, Problem: "cannot be read: " + err.Error(), Advice: "check that the file is yours to read and its disk is connected"}
}

// Linear returns the light at an upright pixel, with the primaries of sRGB. The embedded
// profile has been honoured; what lies outside the gamut is kept. It panics if the pixel is
// not on the photo.
func (p *Photo) Linear(x, y int) colour.LinearRGB {
	r, g, b := p.code(x, y)
	return p.light(x, y, r, g, b)
}

// Clipped reports whether any channel of an upright pixel is at the upper end of what its
// file can hold, 250 of 255 or more, where the light may have been brighter than it says.
func (p *Photo) Clipped(x, y int) bool {
	r, g, b := p.code(x, y)
	return max(r, g, b) >= p.pixels.nearClip()
}

// light is what the code of an upright pixel means.
func (p *Photo) light(x, y int, r, g, b uint16) colour.LinearRGB {
	if p.pixels.values != nil {
		return p.transfer.Better(p.pixels.values(p.lies.stored(x, y)))
	}
	return p.transfer.Linear(r, g, b)
}

func (p *Photo) code(x, y int) (r, g, b uint16) {
	if uint(x) >= uint(p.Width) || uint(y) >= uint(p.Height) {
		panic("imageio: pixel outside the photo")
	}
	return p.pixels.code(p.lies.stored(x, y))
}
