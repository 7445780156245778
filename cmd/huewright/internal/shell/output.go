package shell

import (
	"bytes"
	"errors"
	"io"
	"os"

	"github.com/spf13/cobra"

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

// OverwriteFlag lets a command write over what is there. Every command that writes a file of the user's naming has it, and
// writes over nothing without it.
func OverwriteFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("overwrite", false, "Write over what is there under that name.")
}

// NewFile makes sure that a file that is to be written is not there yet, unless it may be written over.
func NewFile(path string, overwrite bool) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist), err == nil && overwrite && info.Mode().IsRegular():
		return nil
	case err == nil && info.IsDir():
		return fault.New(fault.Use, "use.is-folder", "file", path)
	}
	return fault.New(fault.Use, "use.file-there", "file", path).WithHint("use.or-overwrite")
}

// WriteNew writes a new file, all of it or nothing.
func WriteNew(path string, overwrite bool, write func(io.Writer) error) error {
	if err := NewFile(path, overwrite); err != nil {
		return err
	}
	var all bytes.Buffer
	if err := write(&all); err != nil {
		return err
	}
	return atomicfile.WriteBytes(path, all.Bytes())
}
