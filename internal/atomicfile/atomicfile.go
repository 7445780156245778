// Package atomicfile writes files whole or not at all: first under another name in the folder of the target, so that
// renaming is one step of the file system, then flushed to disk, then renamed. Readers see the old file or the new one.
//
// Begin with [Write] and [WriteBytes]; [Options] writes otherwise, for a caller that words its own errors.
package atomicfile

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"huewright/internal/fault"
)

// Write writes what encode writes, readable by anybody. Its errors are faults with the file as their place.
func Write(path string, encode func(io.Writer) error) error {
	if err := (Options{}).Write(path, encode); err != nil {
		return writeFault(path, err)
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
	Beside string                      // temporary name, a * in it standing for a random part; default "." + its own name + ".*"
	Mode   fs.FileMode                 // default 0o644
	Name   func(from, to string) error // renames the whole file, and may leave it the other name too; default os.Rename
}

// Write writes what encode writes. Errors are those of the file system and of encode as they are.
func (o Options) Write(path string, encode func(io.Writer) error) (err error) {
	if o.Beside == "" {
		o.Beside = "." + filepath.Base(path) + ".*"
	}
	if o.Mode == 0 {
		o.Mode = 0o644
	}
	file, err := os.CreateTemp(filepath.Dir(path), o.Beside)
	if err != nil {
		return err
	}
	defer func() {
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

// writeFault is why a file could not be written. Nothing of it is left, and what was there before is unchanged.
func writeFault(path string, cause error) error {
	f := fault.New(fault.File, "file.not-written")
	switch {
	case errors.Is(cause, syscall.ENOSPC):
		f = fault.New(fault.File, "file.disk-full")
	case errors.Is(cause, fs.ErrNotExist):
		f = fault.New(fault.File, "file.no-folder", "folder", filepath.Dir(path))
	case errors.Is(cause, fs.ErrPermission):
		f = fault.New(fault.File, "file.not-writable")
	}
	return fault.In(f.Because(cause), fault.Place{File: path})
}
