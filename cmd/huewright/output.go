package main

import (
	"bytes"
	"errors"
	"io"
	"os"

	"huewright/internal/atomicfile"
)

// printResult writes a result as text or as JSON.
func printResult[T any](w io.Writer, asJSON bool, result T, text, json func(io.Writer, T) error) error {
	if asJSON {
		return json(w, result)
	}
	return text(w, result)
}

// newFile makes sure that a file that is to be written is not there yet.
func newFile(path string) error {
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		return wrongUse("say a name that is not taken yet", "%s: there is a file of that name", path)
	}
	return nil
}

// writeNew writes a new file, all of it or nothing.
func writeNew(path string, write func(io.Writer) error) error {
	if err := newFile(path); err != nil {
		return err
	}
	var all bytes.Buffer
	if err := write(&all); err != nil {
		return err
	}
	return atomicfile.WriteBytes(path, all.Bytes())
}
