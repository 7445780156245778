package logbook

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall/js"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

// TestStorageIsFull keeps notes and photos while a browser gives less and less room: each is kept or refused as on a full disk, and it
// goes on with more room.
func TestStorageIsFull(t *testing.T) {
	room := func(bytes int) { js.Global().Call("huewrightRoom", bytes) }
	defer room(-1)
	ctx := context.Background()
	refused := 0
	for _, bytes := range []int{0, 100, 5000, 60000} {
		log, err := Open(ctx, filepath.Join(t.TempDir(), "log.db"), Options{Make: true})
		require.NoError(t, err)
		piece := "a chest"
		var kept []string
		keep := func(n int) error {
			note := fmt.Sprintf("note %d %s", n, strings.Repeat("ash ", 300))
			err := log.Write(ctx, func(w *Writer) error {
				if n%3 == 2 {
					if _, err := w.KeepPhoto([]byte(note), PhotoFacts{Name: "a.jpg"}); err != nil {
						return err
					}
				}
				_, err := w.Add(Entry{Piece: piece, Note: note})
				return err
			})
			if err == nil {
				kept = append(kept, note)
			}
			return err
		}
		require.NoError(t, log.Write(ctx, func(w *Writer) error { return w.BeginOnce(piece) }))
		require.NoError(t, keep(0))
		room(bytes)
		for n := 1; n < 40; n++ {
			if err := keep(n); err != nil {
				require.True(t, fault.Is(err, "logbook.full"), "room for %d: %v", bytes, err)
				refused++
			}
		}
		room(-1)
		require.NoError(t, keep(40))
		faults, err := log.Verify(ctx)
		require.NoError(t, err)
		require.Empty(t, faults)
		entries, err := log.Timeline(ctx, piece)
		require.NoError(t, err)
		require.Len(t, entries, len(kept))
		require.NoError(t, log.Close())
		require.NoError(t, os.RemoveAll(filepath.Dir(log.Path())))
	}
	require.Positive(t, refused)
}
