// Package atomicfile writes files whole or not at all: beside the target, in the same folder so that
// renaming is one step of the file system, onto the disk, and then under their own name. Readers see the
// old file or the new one.
package atomicfile

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"syscall"
)

// Write writes what encode writes, for anybody to read. Every error is a *WriteError.
func Write(path string, encode func(io.Writer) error) error {
	if err := (Options{}).Write(path, encode); err != nil {
		return &WriteError{path, err}
	}
	return nil
}

// WriteBytes is Write for bytes that are encoded already.
func WriteBytes(path string, data []byte) error { return Write(path, bytesOf(data)) }

func bytesOf(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}

// Options say how a file is written. The zero value writes as Write does.
type Options struct {
	Beside string                      // name while half written, a * in it standing for chance; default "." + its own name + ".*"
	Mode   fs.FileMode                 // default 0o644
	Name   func(from, to string) error // gives the whole file its name, and may leave it the other too; default os.Rename
}

// Write writes what encode writes. Errors are those of the file system and of encode, for who tells them
// in a way of its own.
func (o Options) Write(path string, encode func(io.Writer) error) (err error) {
	if o.Beside == "" {
		o.Beside = "." + filepath.Base(path) + ".*"
	}
	if o.Mode == 0 {
		o.Mode = 0o644
	}
	halfWritten.Lock()
	file, err := os.CreateTemp(filepath.Dir(path), o.Beside)
	if err != nil {
		halfWritten.Unlock()
		return err
	}
	halfWritten.names[file.Name()] = true
	halfWritten.Unlock()
	defer func() {
		halfWritten.Lock()
		defer halfWritten.Unlock()
		switch {
		case err != nil:
		case o.Name != nil:
			err = o.Name(file.Name(), path)
		default:
			err = os.Rename(file.Name(), path)
		}
		if err != nil || o.Name != nil {
			_ = file.Close()
			_ = os.Remove(file.Name())
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
	if err := file.Chmod(o.Mode); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return err
	}
	return file.Close()
}

// WriteBytes is Write for bytes that are encoded already.
func (o Options) WriteBytes(path string, data []byte) error { return o.Write(path, bytesOf(data)) }

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
