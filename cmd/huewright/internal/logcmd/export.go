package logcmd

import (
	"bytes"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

func (g *group) export() *cobra.Command {
	var csv string
	cmd := command("export [FILE]", "write out the whole log, as JSON or as CSV tables",
		`Export writes the whole log to FILE, or to the terminal if you name none. Each line is one JSON object. Import the file
into an empty log, and nothing is lost. With --csv it writes a folder of tables for a spreadsheet instead.

An export only names the photos. "huewright log backup" copies them too.`,
		"huewright log export log.jsonl\nhuewright log export --csv tables",
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && csv != "" {
				return shell.WrongUse("as in: huewright log export log.jsonl", "one place to export to, please")
			}
			return nil
		})
	cmd.Flags().StringVar(&csv, "csv", "", "Write CSV tables to a new `FOLDER`.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.look(cmd, func(l *logbook.Log) error {
			switch {
			case csv != "":
				names, err := l.ExportCSV(cmd.Context(), csv)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(g.stdout, "%d tables in %s\n", len(names), csv)
				return err
			case len(args) == 1:
				return g.exportFile(cmd, l, args[0])
			}
			return l.Export(cmd.Context(), cmd.OutOrStdout()) // as it is
		})
	}
	return cmd
}

func (g *group) exportFile(cmd *cobra.Command, l *logbook.Log, path string) error {
	lines := 0
	err := shell.WriteNew(path, func(w io.Writer) error {
		var all bytes.Buffer
		if err := l.Export(cmd.Context(), &all); err != nil {
			return err
		}
		lines = bytes.Count(all.Bytes(), []byte("\n"))
		_, err := all.WriteTo(w)
		return err
	})
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(g.stdout, "%s: %d lines\n", path, lines)
	return err
}

func (g *group) importing() *cobra.Command {
	cmd := command("import FILE", "read what another log exported",
		`Import reads an export, all of it or nothing. What you have already stays unchanged. To bring the photos too, copy the
photo folder of a backup beside your log.`,
		"huewright log import log.jsonl", shell.Exactly(1, "one: the file", "log.jsonl"))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		file, err := os.Open(args[0])
		if err != nil {
			return shell.WrongUse("name a file that huewright log export wrote", "%w", err)
		}
		defer func() { _ = file.Close() }()
		return g.write(cmd, func(l *logbook.Log) error {
			done, err := l.Import(cmd.Context(), file)
			if err != nil {
				return err
			}
			said := fmt.Sprintf("%d rows came in, %d were there already\n", done.Rows, done.Known)
			for _, s := range done.Renamed {
				said += s + "\n"
			}
			if n := len(done.Photos); n > 0 {
				said += fmt.Sprintf(
					"%d photos are named and not there: copy the folder of photos from a backup of that log to %s\n", n, l.PhotoFolder())
			}
			_, err = io.WriteString(g.stdout, said)
			return err
		})
	}
	return cmd
}
