package workshop

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"huewright/imageio"
)

// Files is where photographs and piece files are read from. Disk reads the file system; the
// demo reads what it has drawn.
type Files interface {
	ReadFile(path string) ([]byte, error)
	OpenPhoto(path string) (*imageio.Photo, error) // errors are *imageio.PhotoError
}

// Disk reads files by their path.
type Disk struct {
	Dir string // that relative paths start from; "" means the working directory
}

// ReadFile reads the whole file.
func (d Disk) ReadFile(path string) ([]byte, error) { return os.ReadFile(d.at(path)) }

// OpenPhoto opens a photo.
func (d Disk) OpenPhoto(path string) (*imageio.Photo, error) { return imageio.Open(d.at(path)) }

func (d Disk) at(path string) string {
	if d.Dir == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(d.Dir, path)
}

// reason says in a few words why a file could not be read, without repeating its name.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read by this user"
	}
	if path := (*fs.PathError)(nil); errors.As(err, &path) {
		return path.Err.Error()
	}
	return err.Error()
}

// parts counts a share of a mix in words: "1 part", "2.5 parts".
func parts(n float64) string {
	unit := " parts"
	if n == 1 {
		unit = " part"
	}
	return strconv.FormatFloat(n, 'g', -1, 64) + unit
}
