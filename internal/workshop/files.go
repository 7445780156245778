package workshop

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// Files is where photographs and piece files are read from. Disk reads the file system; the
// demo reads what it has drawn.
type Files interface {
	ReadFile(path string) ([]byte, error)
	OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) // errors are faults of kind Photo, or that of the context
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

var errTooLong = fault.New(fault.Use, "file.too-long", "megabytes", mostText>>20)

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

// FileFault is why a file could not be read.
func FileFault(path string, err error) *fault.Fault {
	f := fault.New(fault.Use, "file.unreadable").Because(err)
	switch known := fault.Of(err); {
	case known != nil:
		f = known
	case errors.Is(err, fs.ErrNotExist):
		f = fault.New(fault.Use, "file.not-there").Because(err)
	case errors.Is(err, fs.ErrPermission):
		f = fault.New(fault.Use, "file.not-allowed").Because(err)
	case isFolder(err):
		f = fault.New(fault.Use, "file.folder").Because(err)
	}
	in := *f
	in.Place = in.Place.Or(fault.Place{File: path})
	return &in
}

// isFolder reports whether a file could not be read because it is a folder.
func isFolder(err error) bool {
	path := (*fs.PathError)(nil)
	if !errors.As(err, &path) {
		return false
	}
	info, err := os.Stat(path.Path)
	return err == nil && info.IsDir()
}

// ReadPiece reads and checks a piece file. What is wrong in it is a fault with its place.
func ReadPiece(files Files, path string) (*piece.Piece, error) {
	data, err := readText(files, path)
	if err != nil {
		return nil, FileFault(path, err).WithHint("file.name-a-piece")
	}
	return piece.Read(path, data, limitsOf(files))
}
