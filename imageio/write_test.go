package imageio

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestWritePictures(t *testing.T) {
	dir := t.TempDir()
	for name, write := range map[string]func(string) error{
		"a.png": func(path string) error { return WritePNG(path, small()) },
		"a.jpg": func(path string) error { return WriteJPEG(path, small(), 0) },
	} {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
		require.NoError(t, write(path))
		p, err := Open(path)
		require.NoError(t, err)
		require.Equal(t, 24, p.Width)
	}
	requireOnly(t, dir, "a.jpg", "a.png")
}

// A picture that fails half-way leaves the old file and nothing beside it.
func TestNothingHalfWritten(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.png")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	err := writeWhole(path, func(w io.Writer) error {
		_, err := w.Write(make([]byte, 100_000))
		return errors.Join(err, errors.New("out of paint"))
	})
	require.ErrorContains(t, err, "out of paint")
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "old", string(kept))
	requireOnly(t, dir, "a.png")

	require.Error(t, WritePNG(filepath.Join(dir, "none", "a.png"), small()))
	requireOnly(t, dir, "a.png")
}

func requireOnly(t *testing.T, dir string, want ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	require.Equal(t, want, names)
}
