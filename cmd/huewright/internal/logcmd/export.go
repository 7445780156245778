package logcmd

import (
	"bytes"
	"io"
	"os"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

func (g *group) export() *cobra.Command {
	var csv string
	cmd := command("export [FILE]", "write out the whole log, as JSON or as CSV tables",
		`Export writes the whole log to FILE, or to the terminal if you name none. The pieces made in the browser are in it. Each
line is one JSON object. Import the file into an empty log, and nothing is lost. With --csv it writes a folder
of tables for a spreadsheet instead.

An export only names the photos. "huewright log backup" copies them too.`,
		"huewright log export log.jsonl\nhuewright log export --csv tables",
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && csv != "" {
				return fault.New(fault.Use, "logcmd.one-place")
			}
			return nil
		})
	cmd.Flags().StringVar(&csv, "csv", "", "Write CSV tables to a new `FOLDER`.")
	overwrite := shell.OverwriteFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.look(cmd, func(l *logbook.Log) error {
			switch {
			case csv != "":
				names, err := l.ExportCSV(cmd.Context(), csv, *overwrite)
				if err != nil {
					return err
				}
				return g.say(fault.Say("logcmd.tables", "n", len(names), "folder", csv))
			case len(args) == 1:
				return g.exportFile(cmd, l, args[0], *overwrite)
			}
			return l.Export(cmd.Context(), cmd.OutOrStdout()) // as it is
		})
	}
	return cmd
}

func (g *group) exportFile(cmd *cobra.Command, l *logbook.Log, path string, overwrite bool) error {
	var lines lineCount
	err := shell.WriteNew(path, overwrite, func(w io.Writer) error { return l.Export(cmd.Context(), io.MultiWriter(w, &lines)) })
	if err != nil {
		return err
	}
	return g.say(fault.Say("logcmd.exported", "file", path, "lines", int(lines)))
}

// A lineCount counts the lines that are written to it.
type lineCount int

func (n *lineCount) Write(data []byte) (int, error) {
	*n += lineCount(bytes.Count(data, []byte("\n")))
	return len(data), nil
}

func (g *group) importing() *cobra.Command {
	cmd := command("import FILE", "read what another log exported",
		`Import reads an export. What you have already stays unchanged. A line that makes no sense is named and left out; the exit
code is then 7. With --strict such a line refuses the whole file. If both logs changed the same entry, the change in your
log stands, and the other is kept beside it. To bring the photos too, copy the photo folder of a backup beside your log.`,
		"huewright log import log.jsonl", shell.Exactly(1, "one: the file", "log.jsonl"))
	strict := cmd.Flags().Bool("strict", false, "Take in all of it or nothing.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		file, err := os.Open(args[0])
		if err != nil {
			return fault.In(fault.New(fault.Use, "logcmd.no-export-file").Because(err), fault.Place{File: args[0]})
		}
		defer func() { _ = file.Close() }()
		return g.write(cmd, func(l *logbook.Log) error {
			done, err := l.Import(cmd.Context(), file, logbook.ImportOptions{Strict: *strict})
			if err != nil {
				return fault.In(err, fault.Place{File: args[0]})
			}
			return g.sayImported(l, done)
		})
	}
	return cmd
}

// mostTold is how many lines that were refused are told one by one. Our own choice: a screen of them.
const mostTold = 20

// sayImported says what came in, and is a fault where lines were refused.
func (g *group) sayImported(l *logbook.Log, done logbook.Imported) error {
	notes := append([]fault.Note{fault.Say("logcmd.imported", "rows", done.Rows, "known", done.Known)}, done.Renamed...)
	if done.Second > 0 {
		notes = append(notes, fault.Say("logcmd.second", "n", done.Second))
	}
	if n := len(done.Photos); n > 0 {
		notes = append(notes, fault.Say("logcmd.photos-missing", "n", n, "folder", l.PhotoFolder()))
	}
	notes = append(notes, done.Refused[:min(len(done.Refused), mostTold)]...)
	if err := g.say(notes...); err != nil || len(done.Refused) == 0 {
		return err
	}
	return fault.New(fault.Log, "logbook.import-partly", "n", len(done.Refused))
}
