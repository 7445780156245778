package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

func newLogBegin(stdout io.Writer, flags *logFlags) *cobra.Command {
	var about string
	cmd := logCommand("begin NAME", "begin a piece",
		"Begin makes a piece in the log, to which photos, readings and coats then go by its name.",
		"  huewright log begin \"music cabinet\" --about \"ash frame, sapele panels, one corner rebuilt\"",
		exactly(1, "one: the piece's name", "\"music cabinet\""),
		func(cmd *cobra.Command, args []string) error {
			return flags.write(cmd, func(l *logbook.Log) error {
				if err := l.Write(cmd.Context(), func(w *logbook.Writer) error { _, err := w.Begin(args[0], about); return err }); err != nil {
					return err
				}
				_, err := fmt.Fprintf(stdout, "%s is begun\n", strings.TrimSpace(args[0]))
				return err
			})
		})
	cmd.Flags().StringVar(&about, "about", "", "`TEXT` on what it is and where it comes from")
	return cmd
}

func newLogPhoto(stdout io.Writer, flags *logFlags) *cobra.Command {
	var note string
	cmd := logCommand("photo PIECE FILE …", "keep photos of a piece",
		"Photo keeps photos of a piece, each once however often it comes.",
		"  huewright log photo \"music cabinet\" front.jpg side.jpg --note \"before anything was done\"",
		atLeast(2, "two or more: the piece's name and its photos", "\"music cabinet\" front.jpg"),
		func(cmd *cobra.Command, args []string) error {
			return flags.write(cmd, func(l *logbook.Log) error {
				if _, err := l.Piece(cmd.Context(), args[0]); err != nil {
					return err
				}
				k := record.Keeper{Log: l, Piece: args[0], Program: version(), Files: disk(cmd.Context(), "")}
				done, err := k.KeepPhotos(cmd.Context(), args[1:], note)
				if err != nil {
					return err
				}
				_, err = fmt.Fprintf(stdout, "%d kept, %d of them new\n", done.Photos, done.Entries)
				return err
			})
		})
	cmd.Flags().StringVar(&note, "note", "", "`TEXT` about them")
	return cmd
}

func newLogArea(stdout io.Writer, flags *logFlags) *cobra.Command {
	var f logbook.AreaFacts
	var at string
	cmd := logCommand("area PIECE AREA", "say what a part of a piece is made of",
		"Area says what people write on the back of a sample board: the wood, how it is cut, how it was\nsanded. What is said again puts right what was said before; what is left out stays.",
		"  huewright log area \"music cabinet\" frame --wood ash --cut flat-sawn --sanding \"150, 180\" --surface sealed",
		exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error {
			if f.Surface != "" && !slices.Contains(blend.Surfaces, f.Surface) {
				return wrongUse("say one of "+strings.Join(blend.Surfaces, ", "), "%q is no surface", f.Surface)
			}
			when, err := timeFlag(at)
			if err != nil {
				return err
			}
			return flags.write(cmd, func(l *logbook.Log) error {
				var id int64
				err := l.Write(cmd.Context(), func(w *logbook.Writer) error {
					e := logbook.Entry{Piece: args[0], Area: args[1], At: when, Facts: &f}
					standing, err := w.Standing(args[0])
					if err != nil {
						return err
					}
					for _, was := range standing {
						if was.Facts != nil && was.Area == args[1] {
							f = merged(*was.Facts, f)
							e.Replaces = was.ID
						}
					}
					id, err = w.Add(e)
					return err
				})
				if err != nil {
					return err
				}
				return kept(stdout, id, args[1])
			})
		})
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&f.Wood, "wood", "", "the `WOOD`: ash, sapele")
	fl.StringVar(&f.Cut, "cut", "", "how it is `CUT`: flat-sawn, quarter-sawn, rift, veneer")
	fl.StringVar(&f.Surface, "surface", "", "`SURFACE`: bare, sealed, clear-coated, non-absorbing, porous")
	fl.StringVar(&f.Sanding, "sanding", "", "`GRITS` it was sanded with: \"150, 180\"")
	fl.StringVar(&f.WoodAge, "wood-age", "", "how `OLD` the wood or its surface is, in words")
	fl.Float64Var(&f.SquareMetres, "square-metres", 0, "its size, `M2`")
	fl.StringVar(&at, "at", "", "`TIME` it was so; without it now")
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

func newLogReading(stdout io.Writer, flags *logFlags) *cobra.Command {
	var lab, of, note, at string
	var more float64
	cmd := logCommand("reading PIECE AREA --lab L,a,b", "add a colour that was measured elsewhere",
		"Reading adds a colour that an instrument showed. It counts as read over the coats that the log\nhas of the area by then. What photos show is added by \"measure\" and \"plan\" with --piece.",
		"  huewright log reading \"music cabinet\" frame --lab \"76.5,4.0,23.3\" --plus-minus 0.5",
		exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame --lab \"76.5,4.0,23.3\""),
		func(cmd *cobra.Command, args []string) error {
			c, err := labFlag("--lab", lab)
			if err != nil {
				return err
			}
			when, err := timeFlag(at)
			if err != nil {
				return err
			}
			return flags.write(cmd, func(l *logbook.Log) error {
				var id int64
				err := l.Write(cmd.Context(), func(w *logbook.Writer) error {
					stack, err := stackNow(w, args[0], args[1])
					if err != nil {
						return err
					}
					id, err = w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: note, Reading: &logbook.Reading{Of: of, Lab: c, PlusMinus: more, Stack: stack}})
					return err
				})
				if err != nil {
					return err
				}
				return kept(stdout, id, args[1])
			})
		})
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&lab, "lab", "", "the colour, `L,a,b`, for D65 and the 2° observer")
	fl.Float64Var(&more, "plus-minus", 1, "95 % radius of it, `ΔE00`")
	fl.StringVar(&of, "of", "area", "what it is `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	fl.StringVar(&note, "note", "", "`TEXT` about it")
	fl.StringVar(&at, "at", "", "`TIME` it was read; without it now")
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

func labFlag(flag, text string) (c colour.Lab, err error) {
	parts := strings.Split(text, ",")
	figures := []*float64{&c.L, &c.A, &c.B}
	if len(parts) != len(figures) {
		return c, wrongUse("as in "+flag+" \"76.5,4.0,23.3\"", "%s %q: not three numbers", flag, text)
	}
	for i, p := range parts {
		if *figures[i], err = strconv.ParseFloat(strings.TrimSpace(p), 64); err != nil {
			return c, wrongUse("as in "+flag+" \"76.5,4.0,23.3\"", "%s: %q is no number", flag, p)
		}
	}
	return c, nil
}

type coatFlags struct {
	coating                             logbook.Coating
	coats                               int
	paint, thinner                      float64
	with, by, note, at                  string
	wiped, dried, temperature, humidity float64
	fahrenheit                          bool
}

func newLogCoat(stdout io.Writer, flags *logFlags) *cobra.Command {
	var f coatFlags
	cmd := logCommand("coat PIECE AREA --coating NAME", "add coats that were laid",
		"Coat adds coats that were laid on a piece, with all that is needed to lay them again: the mix, how\nthey were put on and wiped, the weather in the room. \"plan --piece\" adds what they came out as.",
		`  huewright log coat "music cabinet" frame --coating "brown wash" --paint 1 --thinner 4 --with water \
      --put-on brushed --temperature 18 --humidity 55 --dried 12`,
		exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame --coating \"brown wash\" --paint 1 --thinner 4"),
		func(cmd *cobra.Command, args []string) error {
			when, err := timeFlag(f.at)
			if err != nil {
				return err
			}
			coats, err := f.laid(cmd)
			if err != nil {
				return err
			}
			return flags.write(cmd, func(l *logbook.Log) error {
				var id int64
				err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
					id, err = w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: f.note, Coats: coats})
					return err
				})
				if err != nil {
					return err
				}
				return kept(stdout, id, args[1])
			})
		})
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&f.coating.Name, "coating", "", "what it is `CALLED`")
	fl.StringVar(&f.coating.Kind, "kind", "wash", "`KIND`: "+strings.Join(blend.Kinds, ", "))
	fl.StringVar(&f.coating.Family, "family", "", "what it is thinned with, as a `FAMILY`: "+strings.Join(blend.Families, ", "))
	fl.StringVar(&f.coating.Batch, "batch", "", "what tells this tin or mix from others, `TEXT`")
	fl.IntVar(&f.coats, "coats", 1, "how `MANY`")
	fl.Float64Var(&f.paint, "paint", 1, "`PARTS` of the coating in the mix")
	fl.Float64Var(&f.thinner, "thinner", 0, "`PARTS` of what it was thinned with")
	fl.StringVar(&f.with, "with", "", "`WHAT` it was thinned with")
	fl.StringVar(&f.by, "put-on", "", "`HOW` it was put on: "+strings.Join(blend.PutOns, ", "))
	fl.Float64Var(&f.wiped, "wiped-after", 0, "`MINUTES` it stood before it was wiped")
	fl.Float64Var(&f.dried, "dried", 0, "`HOURS` it dried before the next step")
	fl.Float64Var(&f.temperature, "temperature", 0, "of the room, °C, `DEGREES`")
	fl.BoolVar(&f.fahrenheit, "fahrenheit", false, "the temperature is in °F")
	fl.Float64Var(&f.humidity, "humidity", 0, "of the room, relative, `PER-CENT`")
	fl.StringVar(&f.note, "note", "", "`TEXT` about it")
	fl.StringVar(&f.at, "at", "", "`TIME` it was laid; without it now")
	return cmd
}

func (f *coatFlags) laid(cmd *cobra.Command) (*logbook.Coats, error) {
	if f.coating.Name == "" {
		return nil, wrongUse("as in --coating \"brown wash\"", "no coating is named")
	}
	if f.by != "" && !blend.PutOn(f.by).Known() {
		return nil, wrongUse("say one of "+strings.Join(blend.PutOns, ", "), "%q is no way to put a coating on", f.by)
	}
	if f.coating.Family != "" && !blend.Family(f.coating.Family).Known() {
		return nil, wrongUse("say one of "+strings.Join(blend.Families, ", "), "%q is no family", f.coating.Family)
	}
	if !(f.paint > 0) || !(f.thinner >= 0) {
		return nil, wrongUse("as in --paint 1 --thinner 4", "a mix of %v to %v parts", f.paint, f.thinner)
	}
	f.coating.PutOn = f.by
	switch {
	case f.by != "":
	case f.coating.Kind == "stain":
		f.coating.PutOn = string(blend.Wiped)
	default:
		f.coating.PutOn = string(blend.Brushed)
	}
	c := &logbook.Coats{Coating: f.coating, Coats: f.coats, Share: f.paint / (f.paint + f.thinner), ThinnedWith: f.with, LaidBy: f.by}
	if f.fahrenheit {
		f.temperature = (f.temperature - 32) / 1.8
	}
	for _, p := range []struct {
		flag string
		from float64
		to   **float64
	}{{"wiped-after", f.wiped, &c.WipedAfter}, {"dried", f.dried, &c.Dried}, {"temperature", f.temperature, &c.Temperature}, {"humidity", f.humidity, &c.Humidity}} {
		if cmd.Flags().Changed(p.flag) {
			v := p.from
			*p.to = &v
		}
	}
	return c, nil
}

func newLogNote(stdout io.Writer, flags *logFlags) *cobra.Command {
	var area, at string
	var instead int64
	cmd := logCommand("note PIECE TEXT", "add a note to a piece", "Note adds what is worth remembering, in words.",
		"  huewright log note \"music cabinet\" \"the left door drinks more\" --area panel",
		exactly(2, "two: the piece's name and the note", "\"music cabinet\" \"the left door drinks more\""),
		func(cmd *cobra.Command, args []string) error {
			when, err := timeFlag(at)
			if err != nil {
				return err
			}
			return flags.write(cmd, func(l *logbook.Log) error {
				var id int64
				err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
					id, err = w.Add(logbook.Entry{Piece: args[0], Area: area, At: when, Note: args[1], Replaces: instead})
					return err
				})
				if err != nil {
					return err
				}
				return kept(stdout, id, "noted")
			})
		})
	cmd.Flags().StringVar(&area, "area", "", "the `AREA` it is about")
	cmd.Flags().StringVar(&at, "at", "", "`TIME` it is about; without it now")
	cmd.Flags().Int64Var(&instead, "instead-of", 0, "`NUMBER` of the note that it puts right")
	return cmd
}

func newLogUndo(stdout io.Writer, flags *logFlags) *cobra.Command {
	var because string
	cmd := logCommand("undo NUMBER", "say that an entry does not stand",
		"Undo withdraws an entry: it stays in the log, marked, and counts for nothing any more.",
		"  huewright log undo 12 --because \"that was the other door\"",
		exactly(1, "one: the entry's number", "12"),
		func(cmd *cobra.Command, args []string) error {
			number, err := strconv.ParseInt(strings.TrimPrefix(args[0], "#"), 10, 64)
			if err != nil {
				return wrongUse("as in: huewright log undo 12; \"huewright log show PIECE\" tells the numbers", "%q is no number of an entry", args[0])
			}
			return flags.with(cmd, logbook.Options{}, func(l *logbook.Log) error {
				var id int64
				err := l.Write(cmd.Context(), func(w *logbook.Writer) (err error) {
					id, err = w.Withdraw(number, because)
					return err
				})
				if err != nil {
					return err
				}
				return kept(stdout, id, fmt.Sprintf("#%d no longer stands", number))
			})
		})
	cmd.Flags().StringVar(&because, "because", "", "`WHY`")
	return cmd
}
