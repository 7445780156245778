package container

import (
	"bytes"
	"context"
	"image"
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

// A limitedContext is a context with a deadline, which asks the one above it each time it is asked itself: that one may
// know of its end before it has said so.
type limitedContext struct {
	context.Context
	above context.Context
}

// Err is that of the context above, or else its own.
func (c limitedContext) Err() error {
	if err := c.above.Err(); err != nil {
		return err
	}
	return c.Context.Err()
}

// interruptibly does work and returns what it makes, or the error of the context where that ends first: the work then
// goes on until it next reads from a contextReader, and what it makes is dropped.
func interruptibly(ctx context.Context, work func() (image.Image, error)) (image.Image, error) {
	type result struct {
		img image.Image
		err error
	}
	done := make(chan result, 1)
	go func() {
		img, err := work()
		done <- result{img, err}
	}()
	select {
	case r := <-done:
		return r.img, r.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
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
