package web

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"huewright/internal/piece"

	"github.com/stretchr/testify/require"
)

// Two programs serve one log and change one piece at the same time: no step of either is lost.
func TestTwoServersChangeOnePiece(t *testing.T) {
	folder := t.TempDir()
	var both [2]*draftStore
	for i := range both {
		d, err := openDrafts(folder)
		require.NoError(t, err)
		both[i] = d
	}
	require.NoError(t, both[0].begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}))
	var wait sync.WaitGroup
	errs := make(chan error, 40)
	for i, d := range both {
		wait.Go(func() {
			for n := range 20 {
				_, err := d.change("abcdefgh", "an area", time.Unix(int64(n), 0), func(d *pieceDraft) error {
					d.Piece.Areas = append(d.Piece.Areas, piece.Area{Name: fmt.Sprint(i, " ", n)})
					return nil
				})
				errs <- err
			}
		})
	}
	wait.Wait()
	for range 40 {
		require.NoError(t, <-errs)
	}
	d, err := both[1].load("abcdefgh")
	require.NoError(t, err)
	require.Len(t, d.Piece.Areas, 40)
	left, err := filepath.Glob(filepath.Join(folder, "incoming-*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// The clock may go backwards, as when a phone's or a machine's is set: steps keep their order.
func TestDraftsDoNotGoByTheClock(t *testing.T) {
	d, err := openDrafts(t.TempDir())
	require.NoError(t, err)
	require.NoError(t, d.begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}, Changed: time.Unix(2e9, 0)}))
	for n := range 3 {
		_, err := d.change("abcdefgh", "naming", time.Unix(int64(1e9-n), 0), func(d *pieceDraft) error {
			d.Piece.Name = fmt.Sprint("desk ", n)
			return nil
		})
		require.NoError(t, err)
	}
	now, err := d.load("abcdefgh")
	require.NoError(t, err)
	require.Equal(t, "desk 2", now.Piece.Name)
	_, err = d.undo("abcdefgh", "")
	require.NoError(t, err)
	now, err = d.load("abcdefgh")
	require.NoError(t, err)
	require.Equal(t, "desk 1", now.Piece.Name)
}

// A folder that may no more be written to is a fault that says so, and the draft stays as it was.
func TestDraftsWithoutPermission(t *testing.T) {
	if os.Getuid() == 0 {
		t.Skip("the superuser may write anywhere")
	}
	folder := t.TempDir()
	d, err := openDrafts(folder)
	require.NoError(t, err)
	require.NoError(t, d.begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}))
	require.NoError(t, os.Chmod(folder, 0o555))
	defer func() { _ = os.Chmod(folder, 0o755) }()
	_, err = d.change("abcdefgh", "naming", time.Unix(1, 0), func(d *pieceDraft) error { d.Piece.Name = "chest"; return nil })
	require.ErrorIs(t, err, os.ErrPermission)
	now, err := d.load("abcdefgh")
	require.NoError(t, err)
	require.Equal(t, "desk", now.Piece.Name)
}
