package sandbox

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// tiny is a module of one page of memory and four functions of one number each, written by hand after the
// WebAssembly Core Specification 2.0, chapter 5: malloc gives 16, spin never ends, grow asks for so many pages
// more, trap comes to grief.
var tiny = []byte("\x00asm\x01\x00\x00\x00" +
	"\x01\x06\x01\x60\x01\x7f\x01\x7f" + // one type, i32 → i32
	"\x03\x05\x04\x00\x00\x00\x00" + // four functions of it
	"\x05\x03\x01\x00\x01" + // memory of a page or more
	"\x06\x06\x01\x7f\x01\x41\x07\x0b" + // a global
	"\x07\x1f\x04\x06malloc\x00\x00\x04spin\x00\x01\x04grow\x00\x02\x04trap\x00\x03" +
	"\x0a\x1c\x04" +
	"\x04\x00\x41\x10\x0b" +
	"\x08\x00\x03\x40\x0c\x00\x0b\x00\x0b" +
	"\x06\x00\x20\x00\x40\x00\x0b" +
	"\x05\x00\x00\x41\x00\x0b")

func zipped(t testing.TB, module []byte) *[]byte {
	t.Helper()
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, err := w.Write(module)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	data := out.Bytes()
	return &data
}

func TestRunPutsAndReads(t *testing.T) {
	require.NoError(t, New(zipped(t, tiny)).Run(t.Context(), 1<<20, func(in *Instance) error {
		at, err := in.Put([]byte{1, 0, 0, 0, 2, 0, 0, 0})
		require.NoError(t, err)
		require.EqualValues(t, 16, at)
		words, err := in.Words(at, 2)
		require.NoError(t, err)
		require.Equal(t, []uint32{1, 2}, words)
		data, err := in.Bytes(at, 5)
		require.NoError(t, err)
		require.Equal(t, []byte{1, 0, 0, 0, 2}, data)
		_, err = in.Bytes(at, 1<<16)
		require.ErrorIs(t, err, ErrTrap)
		return nil
	}))
}

func TestRunBoundsMemory(t *testing.T) {
	for pages, want := range map[uint64]error{3: nil, 4: ErrMemory} {
		err := New(zipped(t, tiny)).Run(t.Context(), 4<<16, func(in *Instance) error {
			before, err := in.Call("grow", pages)
			require.NoError(t, err)
			if int32(before) < 0 {
				return errors.New("what the decoder makes of it")
			}
			return nil
		})
		require.Equal(t, want, err, "%d pages more", pages)
	}
}

// A decoder that goes round for ever ends with its context, and the next run is none the worse.
func TestRunEndsWithItsContext(t *testing.T) {
	decoder := New(zipped(t, tiny))
	require.NoError(t, decoder.Warm(t.Context()))
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	start := time.Now()
	err := decoder.Run(ctx, 1<<20, func(in *Instance) error {
		_, err := in.Call("spin", 0)
		return err
	})
	require.Equal(t, context.DeadlineExceeded, err)
	require.Less(t, time.Since(start), time.Second)
	require.NoError(t, decoder.Run(t.Context(), 1<<20, func(in *Instance) error {
		_, err := in.Call("malloc", 1)
		return err
	}))
	require.Equal(t, context.DeadlineExceeded, decoder.Run(ctx, 1<<20, nil))
}

// Compiled code that goes round for ever does not keep a garbage collection, which stops the world, from coming to its end.
func TestRunLetsGarbageBeCollected(t *testing.T) {
	decoder := New(zipped(t, tiny))
	require.NoError(t, decoder.Warm(t.Context()))
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error)
	go func() {
		ended <- decoder.Run(ctx, 1<<20, func(in *Instance) error {
			_, err := in.Call("spin", 0)
			return err
		})
	}()
	for range 20 {
		time.Sleep(5 * time.Millisecond)
		runtime.GC()
	}
	cancel()
	require.Equal(t, context.Canceled, <-ended)
}

// A place that no memory of 32 bits holds is refused: its size would be cut to what fits.
func TestAllocRefusesWhatNoMemoryHolds(t *testing.T) {
	require.ErrorIs(t, New(zipped(t, tiny)).Run(t.Context(), 1<<20, func(in *Instance) error {
		_, err := in.Alloc(1 << 32)
		return err
	}), ErrMemory)
}

func TestTrapIsAnError(t *testing.T) {
	require.ErrorIs(t, New(zipped(t, tiny)).Run(t.Context(), 1<<20, func(in *Instance) error {
		_, err := in.Call("trap", 0)
		return err
	}), ErrTrap)
}

func TestModuleThatIsNone(t *testing.T) {
	for _, data := range [][]byte{nil, {1, 2, 3}, *zipped(t, nil), *zipped(t, tiny[:40]), (*zipped(t, tiny))[:30]} {
		require.Error(t, New(&data).Run(t.Context(), 1<<20, nil))
	}
}

// FuzzStoppable holds that a module, however damaged, is refused or rewritten.
func FuzzStoppable(f *testing.F) {
	f.Add(tiny)
	f.Add([]byte("\x00asm\x01\x00\x00\x00\x02\x09\x01\x01a\x01b\x03\x7f\x00"))
	f.Fuzz(func(t *testing.T, module []byte) {
		out, err := stoppable(module)
		if err != nil {
			return
		}
		require.Equal(t, module[:8], out[:8])
		require.Contains(t, string(out), stopName)
	})
}
