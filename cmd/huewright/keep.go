package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

// keepFlags are those of a command whose answer may be kept in the log.
type keepFlags struct {
	piece string
	log   logFlags
}

func (f *keepFlags) register(cmd *cobra.Command, what string) {
	cmd.Flags().StringVar(&f.piece, "piece", "", "keep "+what+" in the log, under the piece `NAME`, which is begun where it is not there yet")
	f.log.register(cmd)
}

// check makes sure that the flags go together.
func (f *keepFlags) check() error {
	if f.piece == "" && f.log.file != "" {
		return wrongUse("say which piece: --piece \"music cabinet\"", "--log goes with --piece")
	}
	if strings.TrimSpace(f.piece) == "" && f.piece != "" {
		return wrongUse("as in --piece \"music cabinet\"", "the piece has no name")
	}
	return nil
}

// open opens the log before the work begins, so that a fault of it is told at once; nil where
// nothing is to be kept. close closes it.
func (f *keepFlags) open(ctx context.Context, stderr io.Writer) (log *logbook.Log, closeLog func(), err error) {
	if err := f.check(); err != nil || f.piece == "" {
		return nil, func() {}, err
	}
	log, err = f.log.open(ctx, stderr, logbook.Options{Make: true})
	if err != nil {
		return nil, func() {}, err
	}
	return log, func() { _ = log.Close() }, nil // what was written is on the disk already
}

// keeper writes into an open log what was read from files.
func (f *keepFlags) keeper(log *logbook.Log, files workshop.Files) *record.Keeper {
	return &record.Keeper{Log: log, Piece: f.piece, Program: version(), Files: files}
}

// answer is a result as it is kept.
func answer[T any](write func(io.Writer, T) error, result T) ([]byte, error) {
	var out bytes.Buffer
	err := write(&out, result)
	return out.Bytes(), err
}

// say tells what came into the log: where the result is JSON, beside it.
func (f *keepFlags) say(stdout, stderr io.Writer, asJSON bool, done record.Kept) error {
	to := stdout
	if asJSON {
		to = stderr
	}
	entries := "1 new entry"
	if done.Entries != 1 {
		entries = fmt.Sprintf("%d new entries", done.Entries)
	}
	text := fmt.Sprintf("\n  kept in the log under %s: %s; see huewright log show %q\n", f.piece, entries, f.piece)
	if done.Known {
		text = fmt.Sprintf("\n  the log has this under %s already\n", f.piece)
	}
	_, err := io.WriteString(to, text)
	return err
}

// newFile makes sure that a file that is to be written is not there yet.
func newFile(path string) error {
	if _, err := os.Stat(path); !errors.Is(err, os.ErrNotExist) {
		return wrongUse("say a name that is not taken yet", "%s: there is a file of that name", path)
	}
	return nil
}
