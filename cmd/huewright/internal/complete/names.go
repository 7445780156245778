package complete

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/spf13/cobra"

	"huewright/internal/logbook"
	"huewright/internal/piece"
)

const (
	// patience is how long a person who has pressed Tab is kept waiting for names.
	patience = time.Second
	// largestFile is how much of a piece file is read, in bytes.
	largestFile = 4 << 20
	// latestPieces are how many pieces are asked for their woods, the latest first.
	latestPieces = 50
	// latestEntries are how many entries are offered, the latest first.
	latestEntries = 30
)

// offered are names that begin as typed, in their order.
func offered(names []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return beginning(names, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

// onTheLine is the piece file that a command line names, as it is by now: it may be half written. It is empty where there is none.
func onTheLine(cmd *cobra.Command, args []string) (p piece.Piece) {
	if shelf := cmd.Flag("shelf"); shelf != nil {
		args = append([]string{shelf.Value.String()}, args...)
	}
	for _, path := range args {
		if !strings.EqualFold(filepath.Ext(path), ".toml") {
			continue
		}
		file, err := os.Open(path)
		if err != nil {
			continue
		}
		data, err := io.ReadAll(io.LimitReader(file, largestFile))
		_ = file.Close() // it was only read
		if err == nil && toml.Unmarshal(data, &p) == nil {
			return p
		}
	}
	return piece.Piece{}
}

// ask looks into the log that a command line means, if there is one and it answers soon.
func ask(cmd *cobra.Command, look func(context.Context, *logbook.Log)) {
	given := ""
	if f := cmd.Flag("log"); f != nil {
		given = f.Value.String()
	}
	path, err := logbook.Place(given, os.Getenv)
	if err != nil {
		return
	}
	ctx := cmd.Context()
	if ctx == nil {
		ctx = context.Background()
	}
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	l, err := logbook.Open(ctx, path, logbook.Options{ReadOnly: true, Patience: patience})
	if err != nil {
		return
	}
	look(ctx, l)
	_ = l.Close() // it was only read
}

// loggedPieces are the names of the pieces in the log.
func loggedPieces(cmd *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return offered(pieceNames(cmd), typed)
}

func pieceNames(cmd *cobra.Command) (names []string) {
	ask(cmd, func(ctx context.Context, l *logbook.Log) {
		all, _ := l.Pieces(ctx) // none where that fails
		for _, p := range all {
			names = append(names, p.Name)
		}
	})
	return names
}

// pieces are the name in the piece file on the line, and those in the log.
func pieces(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return offered(append([]string{onTheLine(cmd, args).Name}, pieceNames(cmd)...), typed)
}

// timeline are the entries of the piece that a command line names, the latest last.
func timeline(cmd *cobra.Command, args []string) (all []logbook.Entry) {
	name := ""
	if f := cmd.Flag("piece"); f != nil {
		name = f.Value.String()
	}
	if name == "" && len(args) > 0 {
		name = args[0]
	}
	ask(cmd, func(ctx context.Context, l *logbook.Log) {
		all, _ = l.Timeline(ctx, name) // none where that fails
	})
	return all
}

// loggedAreas are the areas of the piece that a command line names, as the log has them.
func loggedAreas(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	for _, e := range timeline(cmd, args) {
		names = append(names, e.Area)
	}
	return offered(names, typed)
}

// loggedCoatings are the coatings that the log knows.
func loggedCoatings(cmd *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	ask(cmd, func(ctx context.Context, l *logbook.Log) {
		all, _ := l.Coatings(ctx) // none where that fails
		for _, k := range all {
			names = append(names, k.Name)
		}
	})
	return offered(names, typed)
}

// woods are those of the latest pieces in the log.
func woods(cmd *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	ask(cmd, func(ctx context.Context, l *logbook.Log) {
		all, _ := l.Pieces(ctx) // none where that fails
		for _, p := range all[:min(len(all), latestPieces)] {
			entries, _ := l.Timeline(ctx, p.Name)
			for _, e := range entries {
				if e.Facts != nil {
					names = append(names, e.Facts.Wood)
				}
			}
		}
	})
	return offered(names, typed)
}

// entries are the numbers of entries that stand, those of the piece that was last worked on first, the latest first.
func entries(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return numbers(cmd, typed, func(e *logbook.Entry) bool { return e.Stands() && e.Kind != logbook.KindWithdrawal })
}

// plans are the numbers of entries that a plan wrote.
func plans(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return numbers(cmd, typed, func(e *logbook.Entry) bool { return e.Plan != nil })
}

func numbers(cmd *cobra.Command, typed string, which func(*logbook.Entry) bool) ([]cobra.Completion, cobra.ShellCompDirective) {
	var all []string
	ask(cmd, func(ctx context.Context, l *logbook.Log) {
		pieces, err := l.Pieces(ctx)
		for i := 0; err == nil && i < len(pieces) && len(all) < latestEntries; i++ {
			var timeline []logbook.Entry
			timeline, err = l.Timeline(ctx, pieces[i].Name)
			for _, e := range slices.Backward(timeline) {
				if which(&e) && len(all) < latestEntries {
					what := strings.TrimSpace(fmt.Sprintf("%s: %s %s", e.Piece, e.Kind, e.Area))
					all = append(all, cobra.CompletionWithDesc(fmt.Sprint(e.ID), what))
				}
			}
		}
	})
	return offered(all, typed)
}

// namedAreas are the names that --area has given on the line.
func namedAreas(cmd *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	given, err := cmd.Flags().GetStringArray("area")
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var names []string
	for _, g := range given {
		name, _, _ := strings.Cut(g, "=")
		names = append(names, strings.TrimSpace(name))
	}
	return offered(names, typed)
}

// repairs are the names of the repairs in the piece file on the line.
func repairs(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var names []string
	for _, r := range onTheLine(cmd, args).Repairs {
		names = append(names, r.Name)
	}
	return offered(names, typed)
}

// counts offers the areas of the piece file on the line that no count is typed for yet, after what is typed: "panel=3 frame=".
func counts(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
	var all []string
	for _, a := range onTheLine(cmd, args).Areas {
		name := a.Name + "="
		for at := range len(typed) + 1 { // where the name begins
			before := typed[:at]
			begins := at == 0 || strings.ContainsAny(before[at-1:], " ,;") && strings.Contains(before, "=")
			if begins && strings.HasPrefix(name, typed[at:]) && !strings.Contains(before, name) {
				all = append(all, before+name)
				break
			}
		}
	}
	return beginning(all, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace | cobra.ShellCompDirectiveKeepOrder
}
