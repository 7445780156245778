package parallel

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"
)

// onProcessors runs a test on one processor, on two and on more than there are items.
func onProcessors(t *testing.T, f func(t *testing.T)) {
	for _, n := range []int{1, 2, 64} {
		t.Run(fmt.Sprintf("%d processors", n), func(t *testing.T) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
			f(t)
		})
	}
}

func TestForDoesEachOnce(t *testing.T) {
	onProcessors(t, func(t *testing.T) {
		for _, n := range []int{0, 1, 2, 37} {
			times := make([]int32, n)
			require.NoError(t, For(t.Context(), n, func(i int) { atomic.AddInt32(&times[i], 1) }))
			for i := range times {
				require.EqualValues(t, 1, times[i])
			}
		}
	})
}

func TestRangesAreTheSameOnAnyNumberOfProcessors(t *testing.T) {
	onProcessors(t, func(t *testing.T) {
		var lock sync.Mutex
		seen := map[[2]int]bool{}
		require.NoError(t, Ranges(t.Context(), 10, 4, func(from, to int) {
			lock.Lock()
			defer lock.Unlock()
			seen[[2]int{from, to}] = true
		}))
		require.Equal(t, map[[2]int]bool{{0, 4}: true, {4, 8}: true, {8, 10}: true}, seen)
	})
	require.NoError(t, Ranges(t.Context(), 0, 4, func(int, int) { t.Error("there is nothing to do") }))
	require.Panics(t, func() { _ = Ranges(t.Context(), 10, 0, func(int, int) {}) })
}

// Whichever fails first by time, the error is of the first by number.
func TestEachReturnsTheFirstFault(t *testing.T) {
	onProcessors(t, func(t *testing.T) {
		for range 100 {
			err := Each(t.Context(), 30, func(i int) error {
				if i < 5 {
					runtime.Gosched()
					return nil
				}
				return fmt.Errorf("item %d", i)
			})
			require.EqualError(t, err, "item 5")
		}
	})
}

func TestNoMoreIsStartedOnceOneFails(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	var done atomic.Int32
	other := make(chan struct{})
	err := Each(t.Context(), 1000, func(i int) error {
		if i == 0 {
			<-other // the second worker is at work
			return errors.New("no")
		}
		if done.Add(1) == 1 {
			close(other)
		}
		return nil
	})
	require.EqualError(t, err, "no")
	require.LessOrEqual(t, done.Load(), int32(999))

	count := 0
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Error(t, Each(t.Context(), 1000, func(int) error { count++; return errors.New("no") }))
	require.Equal(t, 1, count)
}

func TestEndedContextStartsNothing(t *testing.T) {
	onProcessors(t, func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		require.Equal(t, context.Canceled, For(ctx, 10, func(int) { t.Error("started") }))
		require.Equal(t, context.Canceled, For(ctx, 0, func(int) { t.Error("started") }))
	})
}

// Every worker ends the item it is at, and takes no other.
func TestContextEndsWorkWithinAnItem(t *testing.T) {
	for _, workers := range []int{1, 2, 8} {
		before := runtime.GOMAXPROCS(workers)
		ctx, cancel := context.WithCancel(t.Context())
		var after atomic.Int32
		err := For(ctx, 10_000, func(i int) {
			if ctx.Err() != nil {
				after.Add(1)
			}
			if i == 100 {
				cancel()
			}
		})
		runtime.GOMAXPROCS(before)
		require.Equal(t, context.Canceled, err)
		require.Less(t, after.Load(), int32(workers))
	}
}

func TestContextEndedByTheLastItemIsTold(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	require.Equal(t, context.Canceled, For(ctx, 3, func(i int) {
		if i == 2 {
			cancel()
		}
	}))
}

func TestPanicReachesTheCaller(t *testing.T) {
	onProcessors(t, func(t *testing.T) {
		cause := errors.New("spilt")
		for _, nested := range []bool{false, true} {
			var left atomic.Int32
			work := func() error { return For(t.Context(), 5, func(int) { left.Add(1); defer left.Add(-1); panic(cause) }) }
			fault := func() (v any) {
				defer func() { v = recover() }()
				if nested {
					return For(t.Context(), 2, func(int) { _ = work() })
				}
				return work()
			}()
			var p *itemPanic
			require.ErrorAs(t, fault.(error), &p)
			require.Equal(t, cause, p.value)
			require.ErrorIs(t, p, cause)
			require.Contains(t, p.Error(), "parallel_test.go")
			require.Zero(t, left.Load(), "all workers have stopped")
		}
	})
}
