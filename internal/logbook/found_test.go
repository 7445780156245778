package logbook

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFoundFilesComeBack takes the names from all files of a log, which has rows in its journal yet, and of an older one: what they hold
// comes back, once, and nothing is taken away.
func TestFoundFilesComeBack(t *testing.T) {
	ctx := context.Background()
	lost := newLog(t)
	fill(t, lost)
	hash, at := photo(t, lost)
	draft(t, lost, "abcdefgh", 7, `{"ID":"abcdefgh","Changed":"2026-03-14T09:00:00Z","Piece":{"Photos":["`+hash+`"]}}`)
	draft(t, lost, "abcdefgh", 8, `{"ID":"abcdefgh","Changed":"2026-03-14T10:00:00Z","Piece":{}}`)
	journal, err := os.Stat(lost.Path() + "-wal")
	require.NoError(t, err)
	require.Positive(t, journal.Size(), "rows are in the journal alone")
	folder := filepath.Join(t.TempDir(), "found")
	require.NoError(t, os.Mkdir(folder, 0o700))
	for name, from := range map[string]string{
		"2": lost.Path(), "3": lost.Path() + "-wal", "4": at,
		"9": filepath.Join(lost.DraftFolder(), "abcdefgh.00000008.json"), "10": filepath.Join(lost.DraftFolder(), "abcdefgh.00000007.json"),
	} {
		require.NoError(t, copyFound(from, filepath.Join(folder, name)))
	}
	for name, text := range map[string]string{
		"5": "", "6": "SQLite format 3\x00 of something else", "7": "\x37\x7f\x06\x82 half a journal", "8": "{",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}

	l := newLog(t)
	done, err := l.TakeFound(ctx, folder)
	require.NoError(t, err)
	require.Positive(t, done.Rows)
	require.Equal(t, 1, done.Brought)
	require.Len(t, draftsOf(t, l), 2)
	require.JSONEq(t, draftsOf(t, lost)["abcdefgh.00000008.json"], draftsOf(t, l)["abcdefgh.00000002.json"], "in the order of their times")
	require.NoError(t, os.RemoveAll(l.DraftFolder()))
	require.NoError(t, os.RemoveAll(lost.DraftFolder()))
	require.Equal(t, exportOf(t, lost), exportOf(t, l))
	requireWhole(t, l)

	require.NoDirExists(t, folder)
	kept, err := filepath.Glob(folder + "-*/*")
	require.NoError(t, err)
	require.Len(t, kept, 9, "they stay, to be taken in once")
	done, err = l.TakeFound(ctx, folder)
	require.NoError(t, err)
	require.Zero(t, done)
}
