package record

import (
	"context"
	"fmt"
	"image"
	"io/fs"
	"sync"

	"huewright/imageio"
	"huewright/imageio/render"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// An Album is the photos of a log, by their hash. It keeps the last few open, and opens one at a time:
// each takes memory and both processors. It is Files for pieces whose photos are named by hash.
type Album struct {
	log  *logbook.Log
	most int

	Limits piece.Limits // set them before the first photo is opened

	mutex   sync.Mutex
	slips   map[string][]slip.Slip // found in photos, by hash
	opened  []*openPhoto           // the last used last
	opening chan struct{}          // holds one while one is being opened
}

type openPhoto struct {
	hash  string
	photo *imageio.Photo
}

// NewAlbum makes an album that keeps so many photos open.
func NewAlbum(log *logbook.Log, most int) *Album {
	return &Album{log: log, most: most, opening: make(chan struct{}, 1)}
}

// PieceLimits are those that pieces and photos of the log are held to.
func (a *Album) PieceLimits() piece.Limits { return a.Limits }

// ReadFile is the bytes of a photo.
func (a *Album) ReadFile(hash string) ([]byte, error) {
	data, err := a.log.Photo(hash)
	if fault.Is(err, "logbook.no-photo") {
		return nil, &fs.PathError{Op: "read", Path: hash, Err: fs.ErrNotExist}
	}
	return data, err
}

// OpenPhoto opens a photo, or has it open.
func (a *Album) OpenPhoto(ctx context.Context, hash string) (*imageio.Photo, error) {
	if p := a.has(hash); p != nil {
		return p, nil
	}
	select {
	case a.opening <- struct{}{}:
		defer func() { <-a.opening }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if p := a.has(hash); p != nil {
		return p, nil
	}
	data, err := a.ReadFile(hash)
	if err != nil {
		return nil, fault.New(fault.Photo, "logbook.photo-lost", "photo", fmt.Sprintf("%.8s", hash)).Because(err)
	}
	photo, err := imageio.DecodeWithin(ctx, data, fmt.Sprintf("photo %.8s", hash), a.Limits.Photo)
	if err != nil {
		return nil, err
	}
	a.keep(hash, photo)
	return photo, nil
}

func (a *Album) has(hash string) *imageio.Photo {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	for i, o := range a.opened {
		if o.hash == hash {
			a.opened = append(append(a.opened[:i:i], a.opened[i+1:]...), o)
			return o.photo
		}
	}
	return nil
}

// mostSlips are how many photos the slips are known of: a kilobyte each.
const mostSlips = 1000

// SlipsOf are the slips that were found in a photo: see workshop.SlipKeeper.
func (a *Album) SlipsOf(hash string) (slips []slip.Slip, known bool) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	slips, known = a.slips[hash]
	return slips, known
}

// KeepSlips keeps the slips that were found in a photo.
func (a *Album) KeepSlips(hash string, slips []slip.Slip) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	if a.slips == nil || len(a.slips) >= mostSlips {
		a.slips = map[string][]slip.Slip{}
	}
	a.slips[hash] = slips
}

// Picture renders a photo upright, at most so many pixels on its longer side; 0 is full size.
func (a *Album) Picture(ctx context.Context, hash string, most int) (image.Image, error) {
	p, err := a.OpenPhoto(ctx, hash)
	if err != nil {
		return nil, err
	}
	c, err := render.NewCanvas(ctx, p, most)
	if err != nil {
		return nil, err
	}
	return c.Picture(), nil
}

// Admit makes sure that bytes are a photo that can be read, and keeps it open under their hash, which
// is what KeepPhoto will call them. The error is a fault of kind Photo, or
// that of the context.
func (a *Album) Admit(ctx context.Context, data []byte, name string) error {
	select {
	case a.opening <- struct{}{}:
		defer func() { <-a.opening }()
	case <-ctx.Done():
		return ctx.Err()
	}
	photo, err := imageio.DecodeWithin(ctx, data, name, a.Limits.Photo)
	if err != nil {
		return err
	}
	a.keep(logbook.HashOf(data), photo)
	return nil
}

// keep keeps a photo open, and lets go of the one that was not used for longest.
func (a *Album) keep(hash string, photo *imageio.Photo) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.opened = append(a.opened, &openPhoto{hash, photo})
	if len(a.opened) > a.most {
		a.opened = append([]*openPhoto{}, a.opened[len(a.opened)-a.most:]...)
	}
}
