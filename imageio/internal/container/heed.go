package container

import (
	"bytes"
	"context"
)

// heeding reads a file in memory for as long as its context goes on: decoders know of none, but stop
// where they can read no further.
type heeding struct {
	ctx  context.Context
	file *bytes.Reader
}

func (r heeding) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.file.Read(p)
}

// ReadAt spares the TIFF decoder a copy of the file.
func (r heeding) ReadAt(p []byte, at int64) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.file.ReadAt(p, at)
}

// A turn lets one at a time do what takes much memory.
type turn chan struct{}

// take waits for the turn for as long as the context goes on.
func (t turn) take(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case t <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (t turn) pass() { <-t }
