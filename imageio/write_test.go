package imageio

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
)

func TestWritePictures(t *testing.T) {
	dir := t.TempDir()
	for name, write := range map[string]func(string) error{
		"a.png": func(path string) error { return WritePNG(t.Context(), path, imagetest.Small()) },
		"a.jpg": func(path string) error { return WriteJPEG(t.Context(), path, imagetest.Small(), 0) },
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
	require.Error(t, WritePNG(t.Context(), filepath.Join(dir, "none", "a.png"), imagetest.Small()))
}
