package logcmd

import (
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

func (g *group) backup() *cobra.Command {
	cmd := command("backup FILE", "copy the log and its photos",
		`Backup copies the log to FILE, with its photos in a folder beside it. Others may go on writing meanwhile. The copy is a
log like any other: open it with --log FILE.`,
		"huewright log backup log-2026-03-14.db", shell.Exactly(1, "one: the file to make", "log-2026-03-14.db"))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.with(cmd, logbook.Options{}, func(l *logbook.Log) error {
			if err := l.Backup(cmd.Context(), args[0]); err != nil {
				return err
			}
			_, err := fmt.Fprintf(g.stdout, "%s, and its photos beside it\n", args[0])
			return err
		})
	}
	return cmd
}

func (g *group) check() *cobra.Command {
	cmd := command("check", "look for damage in the log",
		`Check reads the whole log: the database, what it names, and every photo. With --tidy it removes what is left of photos
that were only partly kept.`,
		"huewright log check", shell.Exactly(0, "none", ""))
	tidy := cmd.Flags().Bool("tidy", false, "Remove what is left of photos that were only partly kept.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.with(cmd, logbook.Options{}, func(l *logbook.Log) error {
			faults, err := l.Verify(cmd.Context())
			if err != nil {
				return err
			}
			left, err := l.Leftovers(cmd.Context(), *tidy)
			if err != nil {
				return err
			}
			return sayWhole(g.stdout, l, faults, len(left), *tidy)
		})
	}
	return cmd
}

// sayWhole says what is wrong with a log and how many files were left of photos, and returns a fault where anything is wrong.
func sayWhole(w io.Writer, l *logbook.Log, faults []string, left int, tidied bool) error {
	said := ""
	for _, f := range faults {
		said += "! " + f + "\n"
	}
	switch {
	case left > 0 && tidied:
		said += fmt.Sprintf("%d files that remained of photos whose keeping was cut short are taken away\n", left)
	case left > 0:
		said += fmt.Sprintf("%d files remain of photos whose keeping was cut short; --tidy takes them away\n", left)
	}
	if len(faults) == 0 {
		said += "the log is whole\n"
	}
	if _, err := io.WriteString(w, said); err != nil || len(faults) == 0 {
		return err
	}
	return &logbook.Fault{
		Kind: logbook.Damaged, Path: l.Path(), Problem: fmt.Sprintf("%d things are wrong with the log", len(faults)),
		Advice: "copy the file and its photos away before anything else; then put the latest backup in its place",
	}
}

func (g *group) where() *cobra.Command {
	cmd := command("where", "say where the log is",
		"Where says which file the log is and which folder has its photos. Neither need be there yet.",
		"huewright log where", shell.Exactly(0, "none", ""))
	asJSON := jsonFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		path, err := logbook.Place(g.File, os.Getenv)
		if err != nil {
			return err
		}
		if *asJSON {
			enc := json.NewEncoder(g.stdout)
			enc.SetEscapeHTML(false)
			return enc.Encode(map[string]string{"log": path, "photos": logbook.PhotosOf(path)})
		}
		_, err = fmt.Fprintf(g.stdout, "log    %s\nphotos %s\n", path, logbook.PhotosOf(path))
		return err
	}
	return cmd
}
