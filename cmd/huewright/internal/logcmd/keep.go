package logcmd

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

type logExportFlags struct {
	log *shell.LogFlags
	csv string
}

func newLogExport(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logExportFlags{log: log}
	cmd := logCommand("export [FILE]", "write the whole log out, as JSON or as CSV tables",
		`Export writes every row, a JSON object to a line, to FILE or to the terminal; importing that into
an empty log loses nothing. With --csv it writes a table to each file of a new folder, for a
spreadsheet. Photos are named by their hash; "backup" has the photos themselves.`,
		"  huewright log export log.jsonl\n  huewright log export --csv tables",
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 || len(args) == 1 && flags.csv != "" {
				return shell.WrongUse("as in: huewright log export log.jsonl", "one place to export to, please")
			}
			return nil
		},
		func(cmd *cobra.Command, args []string) error { return runLogExport(cmd, stdout, args, &flags) })
	cmd.Flags().StringVar(&flags.csv, "csv", "", "write CSV tables to a new `FOLDER`")
	return cmd
}

// runLogExport exports to a folder of tables, to a file where one is named or, as it is, to the standard output.
func runLogExport(cmd *cobra.Command, stdout io.Writer, to []string, flags *logExportFlags) error {
	return look(flags.log, cmd, func(l *logbook.Log) error {
		if flags.csv != "" {
			names, err := l.ExportCSV(cmd.Context(), flags.csv)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(stdout, "%d tables in %s\n", len(names), flags.csv)
			return err
		}
		if len(to) == 0 {
			return l.Export(cmd.Context(), cmd.OutOrStdout())
		}
		lines := 0
		err := shell.WriteNew(to[0], func(w io.Writer) error {
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
		_, err = fmt.Fprintf(stdout, "%s: %d lines\n", to[0], lines)
		return err
	})
}

func newLogImport(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	return logCommand("import FILE", "take in what another log has exported",
		`Import takes in an export, all of it or nothing. What is there already stays as it is. Photos come
with a backup's folder, which can be copied beside the log.`,
		"  huewright log import log.jsonl", shell.Exactly(1, "one: the file", "log.jsonl"),
		func(cmd *cobra.Command, args []string) error { return runLogImport(cmd, stdout, args[0], log) })
}

func runLogImport(cmd *cobra.Command, stdout io.Writer, path string, log *shell.LogFlags) error {
	file, err := os.Open(path)
	if err != nil {
		return shell.WrongUse("name a file that huewright log export wrote", "%w", err)
	}
	defer func() { _ = file.Close() }()
	return write(log, cmd, func(l *logbook.Log) error {
		done, err := l.Import(cmd.Context(), file)
		if err != nil {
			return err
		}
		if _, err = fmt.Fprintf(stdout, "%d rows came in, %d were there already\n", done.Rows, done.Known); err != nil {
			return err
		}
		for _, s := range done.Renamed {
			if _, err = fmt.Fprintln(stdout, s); err != nil {
				return err
			}
		}
		if n := len(done.Photos); n > 0 {
			_, err = fmt.Fprintf(stdout,
				"%d photos are named and not there: copy the folder of photos from a backup of that log to %s\n", n, l.PhotoFolder())
		}
		return err
	})
}

func newLogBackup(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	return logCommand("backup FILE", "copy the log and its photos as they are now",
		`Backup copies the log, with its photos in a folder beside it, while others may go on writing. The
copy is a log like any other: --log FILE looks into it.`,
		"  huewright log backup /media/stick/log-2026-03-14.db", shell.Exactly(1, "one: the file to make", "log-2026-03-14.db"),
		func(cmd *cobra.Command, args []string) error { return runLogBackup(cmd, stdout, args[0], log) })
}

func runLogBackup(cmd *cobra.Command, stdout io.Writer, path string, log *shell.LogFlags) error {
	return with(log, cmd, logbook.Options{}, func(l *logbook.Log) error {
		if err := l.Backup(cmd.Context(), path); err != nil {
			return err
		}
		_, err := fmt.Fprintf(stdout, "%s, and its photos beside it\n", path)
		return err
	})
}

type logCheckFlags struct {
	log  *shell.LogFlags
	tidy bool
}

func newLogCheck(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logCheckFlags{log: log}
	cmd := logCommand("check", "look the whole log over for damage",
		`Check reads everything: the database, what its rows name, and every photo. With --tidy it takes away
the remains of photos whose keeping was cut short.`,
		"  huewright log check", shell.Exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error { return runLogCheck(cmd, stdout, &flags) })
	cmd.Flags().BoolVar(&flags.tidy, "tidy", false, "take away the remains of photos whose keeping was cut short")
	return cmd
}

func runLogCheck(cmd *cobra.Command, stdout io.Writer, flags *logCheckFlags) error {
	return with(flags.log, cmd, logbook.Options{}, func(l *logbook.Log) error {
		faults, err := l.Verify(cmd.Context())
		if err != nil {
			return err
		}
		left, err := l.Leftovers(cmd.Context(), flags.tidy)
		if err != nil {
			return err
		}
		for _, f := range faults {
			if _, err := fmt.Fprintln(stdout, "! "+f); err != nil {
				return err
			}
		}
		if len(left) > 0 {
			what := "remain of photos whose keeping was cut short; --tidy takes them away"
			if flags.tidy {
				what = "that remained of photos whose keeping was cut short are taken away"
			}
			if _, err := fmt.Fprintf(stdout, "%d files %s\n", len(left), what); err != nil {
				return err
			}
		}
		if len(faults) > 0 {
			return &logbook.Fault{
				Kind: logbook.Damaged, Path: l.Path(), Problem: fmt.Sprintf("%d things are wrong with the log", len(faults)),
				Advice: "copy the file and its photos away before anything else; then put the latest backup in its place",
			}
		}
		_, err = fmt.Fprintln(stdout, "the log is whole")
		return err
	})
}

func newLogWhere(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logLookFlags{log: log}
	cmd := logCommand("where", "say where the log is",
		"Where says which file the log is, and in which folder its photos lie, whether they are there yet or not.",
		"  huewright log where", shell.Exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error { return runLogWhere(stdout, &flags) })
	flags.register(cmd)
	return cmd
}

func runLogWhere(stdout io.Writer, flags *logLookFlags) error {
	path, err := logbook.Place(flags.log.File, os.Getenv)
	if err != nil {
		return err
	}
	if flags.json {
		enc := json.NewEncoder(stdout)
		enc.SetEscapeHTML(false)
		return enc.Encode(map[string]string{"log": path, "photos": logbook.PhotosOf(path)})
	}
	_, err = fmt.Fprintf(stdout, "log    %s\nphotos %s\n", path, logbook.PhotosOf(path))
	return err
}
