package logcmd

import (
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

func (g *group) backup() *cobra.Command {
	cmd := command("backup FILE", "copy the log, its photos and its pieces to a safe place",
		`Backup copies the log to FILE. Its photos, and the pieces that were made in the browser, go to folders beside it. Others
may go on writing meanwhile. The copy is a log like any other: open it with --log FILE.

The backup gets its name last, when every photo in it has been checked. If it is cut short, give the command again: it
goes on where it stopped. It names a photo that the log itself has lost, and leaves it out; the exit code is then 7.`,
		"huewright log backup log-2026-03-14.db", shell.Exactly(1, "one: the file to make", "log-2026-03-14.db"))
	overwrite := shell.OverwriteFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.with(cmd, logbook.Options{}, func(l *logbook.Log) error {
			done, err := l.Backup(cmd.Context(), args[0], *overwrite)
			if err != nil {
				return err
			}
			_ = l.MarkSaved() // the backup is whole all the same
			return g.sayBackedUp(done, fault.Say("logcmd.backed-up", "file", args[0], "photos", done.Photos, "steps", done.Steps))
		})
	}
	return cmd
}

// sayBackedUp says what a copy holds, and is a fault where it lacks something.
func (g *group) sayBackedUp(done logbook.BackedUp, notes ...fault.Note) error {
	if err := g.say(append(done.Lacks, notes...)...); err != nil || len(done.Lacks) == 0 {
		return err
	}
	return fault.New(fault.Log, "logbook.incomplete", "n", len(done.Lacks))
}

func (g *group) restore() *cobra.Command {
	cmd := command("restore BACKUP", "bring a backup back",
		`Restore puts a copy of a backup where the log belongs, with its photos and the pieces made in the browser. If there is a log
already, add --overwrite: that log is first set aside, whole or damaged, in a folder with the date. Nothing is deleted.`,
		"huewright log restore log-2026-03-14.db --overwrite", shell.Exactly(1, "one: the backup", "log-2026-03-14.db"))
	overwrite := shell.OverwriteFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		path, err := logbook.Place(g.File, os.Getenv)
		if err != nil {
			return err
		}
		done, err := logbook.Restore(cmd.Context(), args[0], path, *overwrite, time.Now)
		var notes []fault.Note
		if done.Aside != "" {
			notes = append(notes, fault.Say("logcmd.set-aside", "folder", done.Aside))
		}
		if err != nil {
			_ = g.say(notes...) // the fault matters more
			return err
		}
		notes = append(notes, fault.Say("logcmd.restored", "file", path, "photos", done.Photos, "steps", done.Steps))
		return g.sayBackedUp(done.BackedUp, notes...)
	}
	return cmd
}

func (g *group) check() *cobra.Command {
	cmd := command("check", "look for damage in the log",
		`Check reads the whole log: the database, what it names, every photo, and the pieces made in the browser.

With --tidy it also clears up. It deletes only half-written files. Whole photos that no entry names move to a folder with
the date: they may be the only ones.`,
		"huewright log check", shell.Exactly(0, "none", ""))
	tidy := cmd.Flags().Bool("tidy", false, "Delete half-written files, and move photos that no entry names to a folder with the date.")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return g.with(cmd, logbook.Options{}, func(l *logbook.Log) error {
			faults, err := l.Verify(cmd.Context())
			if err != nil {
				return err
			}
			loose, err := l.Loose(cmd.Context())
			if err != nil {
				return err
			}
			if *tidy {
				return g.tidy(l, faults, loose)
			}
			return g.sayWhole(faults, looseNotes(loose, len(faults) > 0))
		})
	}
	return cmd
}

// looseNotes say what lies beside the log and belongs to no entry. Of a damaged log nothing is to be cleared away.
func looseNotes(loose logbook.Loose, damaged bool) (notes []fault.Note) {
	if n := len(loose.Half); n > 0 && !damaged {
		notes = append(notes, fault.Say("logcmd.half-written", "n", n))
	}
	if n := len(loose.Unclaimed); n > 0 {
		notes = append(notes, fault.Say("logcmd.unclaimed", "n", n))
	}
	return notes
}

func (g *group) tidy(l *logbook.Log, faults []fault.Note, loose logbook.Loose) error {
	folder, err := l.Tidy(loose)
	if err != nil {
		return err
	}
	var notes []fault.Note
	if n := len(loose.Half); n > 0 {
		notes = append(notes, fault.Say("logcmd.cleared", "n", n))
	}
	if folder != "" {
		notes = append(notes, fault.Say("logcmd.moved", "n", len(loose.Unclaimed), "folder", folder))
	}
	return g.sayWhole(faults, notes)
}

// sayWhole says what is wrong with a log and what else was found, and is a fault where anything is wrong.
func (g *group) sayWhole(faults, notes []fault.Note) error {
	if len(faults) == 0 {
		return g.say(append(notes, fault.Say("logcmd.whole"))...)
	}
	if err := g.say(append(faults, notes...)...); err != nil {
		return err
	}
	return fault.New(fault.Log, "logbook.not-whole", "n", len(faults))
}

func (g *group) where() *cobra.Command {
	cmd := command("where", "say where the log is",
		"Where says which file the log is, and which folders have its photos and the pieces made in the browser. They need not be "+
			"there yet.",
		"huewright log where", shell.Exactly(0, "none", ""))
	asJSON := jsonFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		given, err := logbook.Place(g.File, os.Getenv)
		if err != nil {
			return err
		}
		path, err := logbook.Itself(given)
		if err != nil {
			return err
		}
		places := map[string]string{"log": path, "photos": logbook.PhotosOf(path), "drafts": logbook.DraftsOf(path)}
		if *asJSON {
			return shell.WriteJSON(g.stdout, places)
		}
		_, err = io.WriteString(g.stdout, "log    "+places["log"]+"\nphotos "+places["photos"]+"\ndrafts "+places["drafts"]+"\n")
		return err
	}
	return cmd
}
