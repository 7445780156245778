package container

import (
	"bytes"
	"context"
)

// A contextReader reads a file in memory until its context ends: decoders take no context, but stop where
// they can read no further.
type contextReader struct {
	ctx  context.Context
	file *bytes.Reader
}

func (r contextReader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.file.Read(p)
}

// ReadAt spares the TIFF decoder a copy of the file.
func (r contextReader) ReadAt(p []byte, at int64) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.file.ReadAt(p, at)
}

// A semaphore lets one at a time do what takes much memory. Make it with room for one.
type semaphore chan struct{}

// acquire waits for as long as the context goes on, whose error it returns.
func (s semaphore) acquire(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case s <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (s semaphore) release() { <-s }
