// Package contexttest is for tests of work that stops with its context.
package contexttest

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// endsAfter is a context that ends when it has been asked so many times whether it has.
type endsAfter struct {
	context.Context
	left atomic.Int64
}

func NewEndsAfter(t *testing.T, asked int) *endsAfter {
	c := &endsAfter{Context: t.Context()}
	c.left.Store(int64(asked))
	return c
}

func (c *endsAfter) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// RequireStops ends the context of some work at each of the first places where it asks, and then at ever
// rarer ones until it is done before: it returns the context's error or is as if nothing had ended.
func RequireStops(t *testing.T, work func(ctx context.Context) error) {
	t.Helper()
	stopped := 0
	for asked := 0; ; asked += 1 + asked/8 {
		err := work(NewEndsAfter(t, asked))
		if err == nil {
			break
		}
		require.Equal(t, context.Canceled, err)
		stopped++
	}
	require.Positive(t, stopped)
}
