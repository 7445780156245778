package logcmd

import (
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

func (g *group) area() *cobra.Command {
	cmd := command("area PIECE AREA", "say what an area is made of",
		"Area keeps what people write on the back of a sample board: the wood, its cut, its sanding. Say something again to "+
			"correct it. What you leave out stays.",
		"huewright log area \"music cabinet\" frame --wood ash --cut flat-sawn --sanding \"150, 180\" --surface sealed", pieceAndArea(""))
	var facts logbook.AreaFacts
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&facts.Wood, "wood", "", "The `WOOD`, as in ash or sapele.")
	f.StringVar(&facts.Cut, "cut", "", "How it is `CUT`: flat-sawn, quarter-sawn, rift, veneer.")
	f.StringVar(&facts.Surface, "surface", "", "The `SURFACE`: bare, sealed, clear-coated, non-absorbing, porous.")
	f.StringVar(&facts.Sanding, "sanding", "", "The `GRITS` that you sanded it with, as in \"150, 180\".")
	f.StringVar(&facts.WoodAge, "wood-age", "", "The `AGE` of the wood or its surface, in words.")
	f.Float64Var(&facts.SquareMetres, "square-metres", 0, "Its size in square metres, `M2`.")
	at := f.String("at", "", "The `TIME` when it was so. Default: now.")
	newArea := newAreaFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if facts.Surface != "" && !slices.Contains(blend.Surfaces, facts.Surface) {
			return fault.New(fault.Use, "logcmd.surface", "surface", facts.Surface, "known", blend.Surfaces)
		}
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		return g.add(cmd, args[0], args[1], *newArea, func(w *logbook.Writer) (int64, error) {
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
	cmd := command("reading PIECE AREA --lab L,a,b", "add a colour from an instrument",
		"Reading adds a colour that you read from an instrument. It belongs to the coats that the area has in the log by then. "+
			"Colours in photos come from \"measure\" and \"plan\" with --piece.",
		"huewright log reading \"music cabinet\" frame --lab \"76.5,4.0,23.3\" --plus-minus 0.5", pieceAndArea(" --lab \"76.5,4.0,23.3\""))
	var r logbook.Reading
	f := cmd.Flags()
	f.SortFlags = false
	lab := f.String("lab", "", "The colour, `L,a,b`, for D65 and the 2° observer.")
	f.Float64Var(&r.PlusMinus, "plus-minus", 1, "How far it may be off, 95 times in 100, as `ΔE00`.")
	f.StringVar(&r.Of, "of", "area", "The `THING` that has this colour: "+strings.Join(logbook.ReadingsOf, ", ")+".")
	note := f.String("note", "", "A `TEXT` about the reading.")
	at := f.String("at", "", "The `TIME` when you read it. Default: now.")
	newArea := newAreaFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) (err error) {
		if r.Lab, err = labFlag(*lab); err != nil {
			return err
		}
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		return g.add(cmd, args[0], args[1], *newArea, func(w *logbook.Writer) (id int64, err error) {
			if r.Stack, err = stackAt(w, args[0], args[1], when); err != nil {
				return 0, err
			}
			return w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: *note, Reading: &r})
		})
	}
	return cmd
}

// stackAt is what the log has on an area by a time; zero is now.
func stackAt(w *logbook.Writer, piece, area string, at time.Time) (stack logbook.Stack, err error) {
	standing, err := w.Standing(piece)
	for i := range standing {
		if e := &standing[i]; e.Coats != nil && e.Area == area && (at.IsZero() || !e.At.After(at)) {
			stack = stack.Over(e.Coats.Name, float64(e.Coats.Coats))
		}
	}
	return stack, err
}
