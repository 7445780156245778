package atomicfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

func TestWriteTakesThePlaceOfTheOld(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	require.NoError(t, WriteBytes(path, []byte("new")))
	require.Equal(t, "new", read(t, path))
	requireOnly(t, dir, "a.txt")
	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o644), info.Mode())
	}
}

// A file that fails half-way leaves the old one and nothing beside it.
func TestNothingHalfWritten(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.png")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	err := Write(path, func(w io.Writer) error {
		_, err := w.Write(make([]byte, 100_000))
		return errors.Join(err, errors.New("out of paint"))
	})
	require.ErrorContains(t, err, "out of paint")
	require.Equal(t, "old", read(t, path))
	requireOnly(t, dir, "a.png")
}

func TestNoFolderIsTold(t *testing.T) {
	dir := t.TempDir()
	err := WriteBytes(filepath.Join(dir, "none", "a.png"), nil)
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.Equal(t, fault.File, fault.KindOf(err))
	want := fault.Say("file.no-folder", "folder", filepath.Join(dir, "none")).In(fault.Place{File: filepath.Join(dir, "none", "a.png")})
	require.Equal(t, want, fault.Of(err).Note)
	requireOnly(t, dir)
}

func TestOptionsSayNameAndMode(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	o := Options{Beside: "incoming-*", Mode: 0o600}
	require.NoError(t, o.Write(path, func(w io.Writer) error {
		beside, err := filepath.Glob(filepath.Join(dir, "incoming-*"))
		require.NoError(t, err)
		require.Len(t, beside, 1)
		_, err = io.WriteString(w, "new")
		return err
	}))
	require.Equal(t, "new", read(t, path))
	requireOnly(t, dir, "a.txt")
	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Equal(t, fs.FileMode(0o600), info.Mode())
	}
}

// Who names the file may refuse to, and the old one stays; or may leave it both names, and one is taken away.
func TestNamedByTheCaller(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.txt")
	once := Options{Name: os.Link}
	require.NoError(t, once.WriteBytes(path, []byte("first")))
	requireOnly(t, dir, "a.txt")
	require.ErrorIs(t, once.WriteBytes(path, []byte("second")), fs.ErrExist)
	require.Equal(t, "first", read(t, path))
	requireOnly(t, dir, "a.txt")
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
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
