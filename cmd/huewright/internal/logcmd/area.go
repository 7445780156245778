package logcmd

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

func (g *group) area() *cobra.Command {
	cmd := command("area PIECE AREA", "say what a part of a piece is made of",
		"Area says what people write on the back of a sample board: the wood, how it is cut, how it was\n"+
			"sanded. What is said again puts right what was said before; what is left out stays.",
		"  huewright log area \"music cabinet\" frame --wood ash --cut flat-sawn --sanding \"150, 180\" --surface sealed", pieceAndArea(""))
	var facts logbook.AreaFacts
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&facts.Wood, "wood", "", "the `WOOD`: ash, sapele")
	f.StringVar(&facts.Cut, "cut", "", "how it is `CUT`: flat-sawn, quarter-sawn, rift, veneer")
	f.StringVar(&facts.Surface, "surface", "", "`SURFACE`: bare, sealed, clear-coated, non-absorbing, porous")
	f.StringVar(&facts.Sanding, "sanding", "", "`GRITS` it was sanded with: \"150, 180\"")
	f.StringVar(&facts.WoodAge, "wood-age", "", "how `OLD` the wood or its surface is, in words")
	f.Float64Var(&facts.SquareMetres, "square-metres", 0, "its size, `M2`")
	at := f.String("at", "", "`TIME` it was so; without it now")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if facts.Surface != "" && !slices.Contains(blend.Surfaces, facts.Surface) {
			return shell.WrongUse("say one of "+strings.Join(blend.Surfaces, ", "), "%q is no surface", facts.Surface)
		}
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		return g.add(cmd, args[1], func(w *logbook.Writer) (int64, error) {
			e := logbook.Entry{Piece: args[0], Area: args[1], At: when, Facts: &facts}
			standing, err := w.Standing(e.Piece)
			if err != nil {
				return 0, err
			}
			for _, was := range standing {
				if was.Facts != nil && was.Area == e.Area {
					facts = merged(*was.Facts, facts)
					e.Replaces = was.ID
				}
			}
			return w.Add(e)
		})
	}
	return cmd
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

func (g *group) reading() *cobra.Command {
	cmd := command("reading PIECE AREA --lab L,a,b", "add a colour that was measured elsewhere",
		"Reading adds a colour that an instrument showed. It counts as read over the coats that the log\n"+
			"has of the area by then. What photos show is added by \"measure\" and \"plan\" with --piece.",
		"  huewright log reading \"music cabinet\" frame --lab \"76.5,4.0,23.3\" --plus-minus 0.5", pieceAndArea(" --lab \"76.5,4.0,23.3\""))
	var r logbook.Reading
	f := cmd.Flags()
	f.SortFlags = false
	lab := f.String("lab", "", "the colour, `L,a,b`, for D65 and the 2° observer")
	f.Float64Var(&r.PlusMinus, "plus-minus", 1, "95 % radius of it, `ΔE00`")
	f.StringVar(&r.Of, "of", "area", "what it is `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	note := f.String("note", "", "`TEXT` about it")
	at := f.String("at", "", "`TIME` it was read; without it now")
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		if r.Lab, err = labFlag("--lab", *lab); err != nil {
			return err
		}
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		return g.add(cmd, args[1], func(w *logbook.Writer) (id int64, err error) {
			if r.Stack, err = stackNow(w, args[0], args[1]); err != nil {
				return 0, err
			}
			return w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: *note, Reading: &r})
		})
	}
	return cmd
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
