package workshop

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"huewright/imageio"
	"huewright/internal/piece"
)

// Files is where photographs and piece files are read from. Disk reads the file system; the
// demo reads what it has drawn.
type Files interface {
	ReadFile(path string) ([]byte, error)
	OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) // errors are *imageio.PhotoError, or that of the context
}

// Disk reads files by their path.
type Disk struct {
	Dir    string // that relative paths start from; "" means the working directory
	Limits piece.Limits
}

// ReadFile reads the whole file.
func (d Disk) ReadFile(path string) ([]byte, error) { return os.ReadFile(d.at(path)) }

// mostText is how many bytes a piece file or a list of values may have: a hundred times what the
// largest have.
const mostText = 4 << 20

// readText reads a file that somebody typed.
func readText(files Files, path string) ([]byte, error) {
	if d, ok := files.(Disk); ok {
		if info, err := os.Stat(d.at(path)); err == nil && info.Size() > mostText {
			return nil, errTooLong
		}
	}
	data, err := files.ReadFile(path)
	if err == nil && len(data) > mostText {
		return nil, errTooLong
	}
	return data, err
}

var errTooLong = fmt.Errorf("is longer than %d MB, which no text that somebody typed is", mostText>>20)

// OpenPhoto opens a photo.
func (d Disk) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	return imageio.OpenWithin(ctx, d.at(path), d.Limits.Photo)
}

// limitsOf are those that files were opened with.
func limitsOf(files Files) piece.Limits {
	if l, ok := files.(interface{ PieceLimits() piece.Limits }); ok {
		return l.PieceLimits().OrDefault()
	}
	return piece.Limits{}.OrDefault()
}

// PieceLimits are those that pieces and photos read from d are held to.
func (d Disk) PieceLimits() piece.Limits { return d.Limits }

func (d Disk) at(path string) string {
	if d.Dir == "" || filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(d.Dir, path)
}

// FileFault says in a few words why a file could not be read, without repeating its name.
func FileFault(err error) string {
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

// ReadPiece reads and checks a piece file. Every fault in it is a *piece.Error.
func ReadPiece(files Files, path string) (*piece.Piece, error) {
	data, err := readText(files, path)
	if err != nil {
		return nil, &piece.Error{File: path, Problem: FileFault(err),
			Advice: "name a piece file; \"huewright demo --out FOLDER\" writes one to start from"}
	}
	return piece.Read(path, data, limitsOf(files))
}
