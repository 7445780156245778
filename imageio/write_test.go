package imageio

import (
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
		p, err := Open(t.Context(), path)
		require.NoError(t, err)
		require.Equal(t, 24, p.Width)
	}
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2)
	require.Error(t, WritePNG(filepath.Join(dir, "none", "a.png"), small()))
}
