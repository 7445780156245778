package main

import (
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// writeFlags let a command write a piece file.
type writeFlags struct {
	file      string
	overwrite *bool
}

// register adds the flag. Whether a file may be written over is another flag's.
func (f *writeFlags) register(cmd *cobra.Command, what string, overwrite *bool) {
	cmd.Flags().StringVar(&f.file, "write", "", "Write "+what+" to a new piece file, as `PIECE.toml`.")
	f.overwrite = overwrite
}

// check refuses a name for the piece file before any work is done for it.
func (f *writeFlags) check() error {
	if f.file == "" {
		return nil
	}
	if filepath.Ext(f.file) != ".toml" {
		return shell.Like(fault.New(fault.Use, "use.piece-ending", "file", f.file), "--write cabinet.toml")
	}
	return shell.NewFile(f.file, *f.overwrite)
}

// write writes the piece file, all of it or nothing, with what its areas were measured as. The code says what was done.
func (f *writeFlags) write(say io.Writer, code fault.Code, p *piece.Piece, measured []workshop.AreaReading) error {
	if f.file == "" {
		return nil
	}
	if err := f.from(p); err != nil {
		return err
	}
	err := shell.WriteNew(f.file, *f.overwrite, func(w io.Writer) error { return report.Style{}.PieceFile(w, p, measured) })
	if err != nil {
		return err
	}
	return shell.Style(say, false).Aside(say, fault.Say(code, "file", f.file))
}

// from names the files of a piece as they are named from the folder of the piece file.
func (f *writeFlags) from(p *piece.Piece) error {
	folder, err := filepath.Abs(filepath.Dir(f.file))
	if err != nil {
		return err
	}
	for i := range p.Photos {
		for _, name := range []*string{&p.Photos[i].File, &p.Photos[i].Flat, &p.Photos[i].ChartValues} {
			if *name == "" || filepath.IsAbs(*name) {
				continue
			}
			if *name, err = filepath.Abs(*name); err != nil {
				return err
			}
			if near, err := filepath.Rel(folder, *name); err == nil { // else it is on another disk
				*name = filepath.ToSlash(near)
			}
		}
	}
	return nil
}
