package logcmd

import (
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

type logAreaFlags struct {
	log   *shell.LogFlags
	facts logbook.AreaFacts
	at    string
}

func newLogArea(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logAreaFlags{log: log}
	cmd := logCommand("area PIECE AREA", "say what a part of a piece is made of",
		"Area says what people write on the back of a sample board: the wood, how it is cut, how it was\n"+
			"sanded. What is said again puts right what was said before; what is left out stays.",
		"  huewright log area \"music cabinet\" frame --wood ash --cut flat-sawn --sanding \"150, 180\" --surface sealed",
		shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error {
			return runLogArea(cmd, stdout, args[0], args[1], &flags)
		})
	f, facts := cmd.Flags(), &flags.facts
	f.SortFlags = false
	f.StringVar(&facts.Wood, "wood", "", "the `WOOD`: ash, sapele")
	f.StringVar(&facts.Cut, "cut", "", "how it is `CUT`: flat-sawn, quarter-sawn, rift, veneer")
	f.StringVar(&facts.Surface, "surface", "", "`SURFACE`: bare, sealed, clear-coated, non-absorbing, porous")
	f.StringVar(&facts.Sanding, "sanding", "", "`GRITS` it was sanded with: \"150, 180\"")
	f.StringVar(&facts.WoodAge, "wood-age", "", "how `OLD` the wood or its surface is, in words")
	f.Float64Var(&facts.SquareMetres, "square-metres", 0, "its size, `M2`")
	f.StringVar(&flags.at, "at", "", "`TIME` it was so; without it now")
	return cmd
}

func runLogArea(cmd *cobra.Command, stdout io.Writer, piece, area string, flags *logAreaFlags) error {
	facts := flags.facts
	if facts.Surface != "" && !slices.Contains(blend.Surfaces, facts.Surface) {
		return shell.WrongUse("say one of "+strings.Join(blend.Surfaces, ", "), "%q is no surface", facts.Surface)
	}
	when, err := timeFlag(flags.at)
	if err != nil {
		return err
	}
	return add(flags.log, cmd, stdout, logbook.Options{Make: true}, area, func(w *logbook.Writer) (int64, error) {
		e := logbook.Entry{Piece: piece, Area: area, At: when}
		standing, err := w.Standing(piece)
		if err != nil {
			return 0, err
		}
		for _, was := range standing {
			if was.Facts != nil && was.Area == area {
				facts = merged(*was.Facts, facts)
				e.Replaces = was.ID
			}
		}
		e.Facts = &facts
		return w.Add(e)
	})
}

// merged are facts with what was said of them now.
func merged(was, now logbook.AreaFacts) logbook.AreaFacts {
	for _, p := range []struct{ to, from *string }{
		{&was.Wood, &now.Wood}, {&was.Cut, &now.Cut}, {&was.Surface, &now.Surface}, {&was.Sanding, &now.Sanding}, {&was.WoodAge, &now.WoodAge},
	} {
		if *p.from != "" {
			*p.to = *p.from
		}
	}
	if now.SquareMetres != 0 {
		was.SquareMetres = now.SquareMetres
	}
	return was
}

type logReadingFlags struct {
	log               *shell.LogFlags
	lab, of, note, at string
	plusMinus         float64
}

func newLogReading(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logReadingFlags{log: log}
	cmd := logCommand("reading PIECE AREA --lab L,a,b", "add a colour that was measured elsewhere",
		"Reading adds a colour that an instrument showed. It counts as read over the coats that the log\n"+
			"has of the area by then. What photos show is added by \"measure\" and \"plan\" with --piece.",
		"  huewright log reading \"music cabinet\" frame --lab \"76.5,4.0,23.3\" --plus-minus 0.5",
		shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame --lab \"76.5,4.0,23.3\""),
		func(cmd *cobra.Command, args []string) error {
			return runLogReading(cmd, stdout, args[0], args[1], &flags)
		})
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.lab, "lab", "", "the colour, `L,a,b`, for D65 and the 2° observer")
	f.Float64Var(&flags.plusMinus, "plus-minus", 1, "95 % radius of it, `ΔE00`")
	f.StringVar(&flags.of, "of", "area", "what it is `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	f.StringVar(&flags.note, "note", "", "`TEXT` about it")
	f.StringVar(&flags.at, "at", "", "`TIME` it was read; without it now")
	return cmd
}

func runLogReading(cmd *cobra.Command, stdout io.Writer, piece, area string, flags *logReadingFlags) error {
	lab, err := labFlag("--lab", flags.lab)
	if err != nil {
		return err
	}
	when, err := timeFlag(flags.at)
	if err != nil {
		return err
	}
	return add(flags.log, cmd, stdout, logbook.Options{Make: true}, area, func(w *logbook.Writer) (int64, error) {
		stack, err := stackNow(w, piece, area)
		if err != nil {
			return 0, err
		}
		reading := &logbook.Reading{Of: flags.of, Lab: lab, PlusMinus: flags.plusMinus, Stack: stack}
		return w.Add(logbook.Entry{Piece: piece, Area: area, At: when, Note: flags.note, Reading: reading})
	})
}

// stackNow is what the log has on an area.
func stackNow(w *logbook.Writer, piece, area string) (stack logbook.Stack, err error) {
	standing, err := w.Standing(piece)
	for i := range standing {
		if e := &standing[i]; e.Coats != nil && e.Area == area {
			stack = stack.Over(e.Coats.Name, float64(e.Coats.Coats))
		}
	}
	return stack, err
}
