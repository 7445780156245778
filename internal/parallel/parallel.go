// Package parallel shares work out among all processors. Results never depend on how many
// there are: items differ by their number alone, and each writes to a place of its own.
//
// [For] runs items that cannot fail, [Each] items that can, and [Ranges] items so small that they are taken in chunks.
//
// Work stops within one item of the end of its context, and the context's error is returned; results are
// incomplete then and must not be used.
//
// A panic in an item reaches the caller as an error with its value and its stack, once all workers have stopped.
package parallel

import (
	"context"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
)

// For calls f for 0 … n−1, several at a time. f must not touch what another call touches.
// The error is that of the context.
func For(ctx context.Context, n int, f func(i int)) error {
	return Each(ctx, n, func(i int) error {
		f(i)
		return nil
	})
}

// Ranges calls f for 0 … n in ranges of the given size, the last one shorter where they do not come out
// even. The ranges are the same on any number of processors. The error is that of the context. It panics
// if size is not positive.
func Ranges(ctx context.Context, n, size int, f func(from, to int)) error {
	if size < 1 {
		panic(fmt.Sprintf("parallel: ranges of %d", size))
	}
	return For(ctx, (n+size-1)/size, func(k int) { f(k*size, min((k+1)*size, n)) })
}

// Each calls f for 0 … n−1, several at a time, and starts no more of them once one has failed or the
// context has ended. The error is that of the context, or else that of the failed item with the least number,
// whichever failed first: items are started in order.
func Each(ctx context.Context, n int, f func(i int) error) error {
	p := pool{ctx: ctx, n: n, f: f, failed: n}
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers == 1 {
		p.work()
	} else {
		var wait sync.WaitGroup
		for range workers {
			wait.Go(p.work)
		}
		wait.Wait()
	}
	if p.panicked != nil {
		panic(p.panicked)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return p.err
}

// An itemPanic is the value that an item panicked with.
type itemPanic struct {
	value any    // as given to panic
	stack []byte // of the goroutine that panicked
}

func (p *itemPanic) Error() string { return fmt.Sprintf("%v\n\n%s", p.value, p.stack) }

// Unwrap is the value where that is an error; nil elsewhere.
func (p *itemPanic) Unwrap() error {
	err, _ := p.value.(error)
	return err
}

// A pool holds items that several workers take in turn.
type pool struct {
	ctx context.Context
	n   int
	f   func(i int) error

	lock     sync.Mutex
	next     int
	failed   int // the least item that failed; n while none has
	err      error
	panicked *itemPanic // the first by time
}

func (p *pool) work() {
	defer func() {
		if v := recover(); v != nil {
			p.stop(v)
		}
	}()
	for {
		i, ok := p.take()
		if !ok {
			return
		}
		if err := p.f(i); err != nil {
			p.fail(i, err)
		}
	}
}

// take returns the next item, if any is left to do.
func (p *pool) take() (i int, ok bool) {
	breathe()
	p.lock.Lock()
	defer p.lock.Unlock()
	if p.next >= p.n || p.failed < p.n || p.panicked != nil || p.ctx.Err() != nil {
		return 0, false
	}
	p.next++
	return p.next - 1, true
}

func (p *pool) fail(i int, err error) {
	p.lock.Lock()
	defer p.lock.Unlock()
	if i < p.failed {
		p.failed, p.err = i, err
	}
}

func (p *pool) stop(v any) {
	p.lock.Lock()
	defer p.lock.Unlock()
	if p.panicked != nil {
		return
	}
	if inner, ok := v.(*itemPanic); ok { // of a pool within this one
		p.panicked = inner
		return
	}
	p.panicked = &itemPanic{v, debug.Stack()}
}
