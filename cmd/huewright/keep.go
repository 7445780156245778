package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

// keepFlags are those of a command whose answer may be kept in the log.
type keepFlags struct {
	piece string
	log   shell.LogFlags
}

func (f *keepFlags) register(cmd *cobra.Command, what string) {
	cmd.Flags().StringVar(&f.piece, "piece", "", "Keep "+what+" in the log, as the piece of this `NAME`. A new name begins a new piece.")
	f.log.Register(cmd)
}

// check makes sure that the flags go together.
func (f *keepFlags) check() error {
	if f.piece == "" && f.log.File != "" {
		return shell.Like(fault.New(fault.Use, "use.log-without-piece"), `--piece "music cabinet"`)
	}
	if strings.TrimSpace(f.piece) == "" && f.piece != "" {
		return shell.Like(fault.New(fault.Use, "use.no-piece-name"), `--piece "music cabinet"`)
	}
	return nil
}

// A logSink is where a command's answer goes: out and, where a piece is named, into the log.
type logSink struct {
	log            *logbook.Log // nil where nothing is to be kept
	piece          string
	json           bool // the answer goes to stdout as JSON
	alone          bool // nothing goes to stdout but the answer
	stdout, stderr io.Writer
}

// open opens the log before the work begins, so that a fault of it is told at once. The caller closes it.
func (f *keepFlags) open(cmd *cobra.Command, stdout io.Writer, asJSON bool) (*logSink, error) {
	s := &logSink{piece: f.piece, json: asJSON, stdout: stdout, stderr: cmd.ErrOrStderr()}
	quiet, _ := cmd.Flags().GetBool("quiet") // false where the command has no such flag
	s.alone = asJSON || quiet
	err := f.check()
	if err == nil && f.piece != "" {
		s.log, err = f.log.Open(cmd.Context(), s.stderr, logbook.Options{Make: true})
	}
	return s, err
}

func (s *logSink) close() {
	if s.log != nil {
		_ = s.log.Close() // what was written is on the disk already
	}
}

// answer writes a result, as text or as JSON, and keeps it as keepResult does.
func answer[T any](
	s *logSink, files workshop.Files, result T, text, json func(io.Writer, T) error, do func(*record.Keeper, []byte) (record.Kept, error),
) error {
	if err := shell.PrintResult(s.stdout, s.json, result, text, json); err != nil {
		return err
	}
	return keepResult(s, files, result, json, do)
}

// keepResult keeps by do what was read from files, with a result as JSON, and says what came into the log.
func keepResult[T any](
	s *logSink, files workshop.Files, result T, writeJSON func(io.Writer, T) error, do func(*record.Keeper, []byte) (record.Kept, error),
) error {
	if s.log == nil {
		return nil
	}
	var written bytes.Buffer
	if err := writeJSON(&written, result); err != nil {
		return err
	}
	done, err := do(&record.Keeper{Log: s.log, Piece: s.piece, Program: version(), Files: files}, written.Bytes())
	if err != nil {
		return err
	}
	return s.say(done)
}

// beside is where what was done beside the answer is told: not among what a program reads.
func (s *logSink) beside() io.Writer {
	if s.alone {
		return s.stderr
	}
	return s.stdout
}

// say tells what came into the log.
func (s *logSink) say(done record.Kept) error {
	entries := "1 new entry"
	if done.Entries != 1 {
		entries = fmt.Sprintf("%d new entries", done.Entries)
	}
	text := fmt.Sprintf("\n  kept in the log under %s: %s; see huewright log show %q\n", s.piece, entries, s.piece)
	if done.Known {
		text = fmt.Sprintf("\n  the log has this under %s already\n", s.piece)
	}
	_, err := io.WriteString(s.beside(), text)
	return err
}
