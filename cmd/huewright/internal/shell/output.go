package shell

import (
	"bytes"
	"errors"
	"io"
	"os"

	"huewright/internal/atomicfile"
	"huewright/internal/fault"
)

// PrintResult writes a result as text or as JSON.
func PrintResult[T any](w io.Writer, asJSON bool, result T, text, json func(io.Writer, T) error) error {
	if asJSON {
		return json(w, result)
	}
	return text(w, result)
}

// NewFile makes sure that a file that is to be written is not there yet.
func NewFile(path string) error {
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		return fault.New(fault.Use, "use.file-there", "file", path)
	}
	return nil
}

// WriteNew writes a new file, all of it or nothing.
func WriteNew(path string, write func(io.Writer) error) error {
	if err := NewFile(path); err != nil {
		return err
	}
	var all bytes.Buffer
	if err := write(&all); err != nil {
		return err
	}
	return atomicfile.WriteBytes(path, all.Bytes())
}
