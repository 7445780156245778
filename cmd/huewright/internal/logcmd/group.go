package logcmd

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/words"
)

// A group is what the commands of the log have in common.
type group struct {
	shell.LogFlags
	stdout  io.Writer // for people, with its colours turned down to what it can show
	program string    // the program's version
	json    bool      // of the commands whose answer is a sentence
}

func command(use, short, long, example string, args cobra.PositionalArgs) *cobra.Command {
	return &cobra.Command{Use: use, Short: short, Long: long, Example: example, Args: args}
}

// pieceAndArea asks for these two arguments.
func pieceAndArea(example string) cobra.PositionalArgs {
	return shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"+example)
}

// style is how text is written.
func (g *group) style(full bool) report.Style { return shell.Style(g.stdout, full) }

// look opens the log for looking, and do looks.
func (g *group) look(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return g.with(cmd, logbook.Options{ReadOnly: true}, do)
}

// write opens the log for writing, and do writes.
func (g *group) write(cmd *cobra.Command, do func(*logbook.Log) error) error {
	return g.with(cmd, logbook.Options{Make: true}, do)
}

func (g *group) with(cmd *cobra.Command, opt logbook.Options, do func(*logbook.Log) error) error {
	log, err := g.Open(cmd.Context(), cmd.ErrOrStderr(), opt)
	if err != nil {
		return err
	}
	err = do(log)
	if closing := log.Close(); err == nil {
		err = closing
	}
	return err
}

// say says notes to a person, a line each; with --json, to a program.
func (g *group) say(notes ...fault.Note) error {
	if g.json {
		type said struct {
			Code   fault.Code   `json:"code"`
			Values fault.Values `json:"values,omitempty"`
			Says   string       `json:"says"`
		}
		all := []said{}
		for _, n := range notes {
			all = append(all, said{n.Code, n.Values, words.Speaker{}.Say(n)})
		}
		return shell.WriteJSON(g.stdout, map[string]any{"said": all})
	}
	said := ""
	for _, n := range notes {
		said += words.Speaker{}.Say(n) + "\n"
	}
	_, err := io.WriteString(g.stdout, said)
	return err
}

// add writes an entry about an area of a piece by do, and says its number. The area is one that the piece has, or unlike
// those that it has, unless newArea is true.
func (g *group) add(cmd *cobra.Command, piece, area string, newArea bool, do func(*logbook.Writer) (id int64, err error)) error {
	return g.change(cmd, logbook.Options{Make: true}, func(w *logbook.Writer) (fault.Note, error) {
		if !newArea {
			if err := w.KnownArea(piece, area); err != nil {
				return fault.Note{}, err
			}
		}
		id, err := do(w)
		if area == "" {
			return fault.Say("logcmd.added-to-piece", "number", id, "piece", piece), err
		}
		return fault.Say("logcmd.added", "number", id, "piece", piece, "area", area), err
	})
}

// newAreaFlag lets a command be about an area whose name is nearly that of another.
func newAreaFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("new-area", false, "The area is new, though its name is nearly that of another.")
}

// change writes by do, and says what do returns.
func (g *group) change(cmd *cobra.Command, opt logbook.Options, do func(*logbook.Writer) (said fault.Note, err error)) error {
	return g.with(cmd, opt, func(l *logbook.Log) error {
		var said fault.Note
		err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
			said, err = do(w)
			return err
		})
		if err != nil {
			return err
		}
		return g.say(said)
	})
}
