package imageio

import (
	"bufio"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
)

// WritePNG writes a picture to a file, whole or not at all: readers see the old file or the
// new one. Codes are meant as sRGB. Errors are those of the file system.
func WritePNG(path string, img image.Image) error {
	return writeWhole(path, func(w io.Writer) error { return png.Encode(w, img) })
}

// WriteJPEG is WritePNG for JPEG of quality 1–100; 0 is 90.
func WriteJPEG(path string, img image.Image, quality int) error {
	if quality == 0 {
		quality = 90
	}
	return writeWhole(path, func(w io.Writer) error { return jpeg.Encode(w, img, &jpeg.Options{Quality: quality}) })
}

// writeWhole writes beside the target, in the same folder so that renaming is one step of the
// file system, and renames.
func writeWhole(path string, encode func(io.Writer) error) (err error) {
	halfWritten.Lock()
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		halfWritten.Unlock()
		return &WriteError{path, err}
	}
	halfWritten.names[file.Name()] = true
	halfWritten.Unlock()
	defer func() {
		halfWritten.Lock()
		defer halfWritten.Unlock()
		if err == nil {
			err = os.Rename(file.Name(), path)
		}
		if err != nil {
			file.Close()
			os.Remove(file.Name())
			err = &WriteError{path, err}
		}
		delete(halfWritten.names, file.Name())
	}()
	buffered := bufio.NewWriter(file)
	if err := encode(buffered); err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return err
	}
	if err := file.Chmod(0o644); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return err
	}
	return file.Close()
}

// A WriteError is a file that could not be written. Nothing of it is left, and what was there before is as
// it was.
type WriteError struct {
	Path  string
	Cause error
}

func (e *WriteError) Error() string {
	return e.Path + ": cannot be written: " + e.why()
}

func (e *WriteError) Unwrap() error { return e.Cause }

func (e *WriteError) why() string {
	switch {
	case errors.Is(e.Cause, syscall.ENOSPC):
		return "the disk is full"
	case errors.Is(e.Cause, fs.ErrNotExist):
		return "there is no folder " + filepath.Dir(e.Path)
	case errors.Is(e.Cause, fs.ErrPermission):
		return "this user may not write there"
	}
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(e.Cause, &path):
		return path.Err.Error()
	case errors.As(e.Cause, &link):
		return link.Err.Error()
	}
	return e.Cause.Error()
}

// Hint says what to do about it.
func (e *WriteError) Hint() string {
	switch {
	case errors.Is(e.Cause, syscall.ENOSPC):
		return "make room on that disk, or name a file on another; nothing half written was left"
	case errors.Is(e.Cause, fs.ErrNotExist):
		return "make the folder first, or check its name"
	}
	return "name a file in a folder of your own; nothing half written was left"
}

// halfWritten are the files that writeWhole is writing.
var halfWritten = struct {
	sync.Mutex
	names map[string]bool
}{names: map[string]bool{}}

// Abandon takes away what is half written, and lets nothing more be written: it is for a program that
// is about to end in the middle of its work.
func Abandon() {
	halfWritten.Lock() // and never unlocks
	for name := range halfWritten.names {
		os.Remove(name)
	}
}

// WriteFile is WritePNG for bytes that are encoded already.
func WriteFile(path string, data []byte) error {
	return writeWhole(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
