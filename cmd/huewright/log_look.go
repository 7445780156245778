package main

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/colour"
	"huewright/internal/atomicfile"
	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/report"
)

func newLogShow(stdout io.Writer, flags *logFlags) *cobra.Command {
	var asJSON bool
	cmd := logCommand("show PIECE", "show all that was seen and done on a piece", "Show tells a piece's history in the order it happened, a swatch beside every colour.",
		"  huewright log show \"music cabinet\"", exactly(1, "one: the piece's name", "\"music cabinet\""),
		func(cmd *cobra.Command, args []string) error {
			return flags.look(cmd, func(l *logbook.Log) error {
				h, err := record.HistoryOf(cmd.Context(), l, args[0])
				if err != nil {
					return err
				}
				if asJSON {
					return report.HistoryJSON(stdout, h)
				}
				return report.HistoryText(stdout, h, time.Local)
			})
		})
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func newLogList(stdout io.Writer, flags *logFlags) *cobra.Command {
	var asJSON bool
	cmd := logCommand("list", "list the pieces", "List names the pieces, the one that was last worked on first.", "  huewright log list", exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error {
			return flags.look(cmd, func(l *logbook.Log) error {
				all, err := l.Pieces(cmd.Context())
				if err != nil {
					return err
				}
				if asJSON {
					return report.PiecesJSON(stdout, all)
				}
				return report.PiecesText(stdout, all, time.Local)
			})
		})
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func newLogFind(stdout io.Writer, flags *logFlags) *cobra.Command {
	var q logbook.Query
	var near, since, until string
	var asJSON bool
	cmd := logCommand("find [TEXT]", "find entries by word, wood, coating, date or colour",
		`Find looks through all pieces. All that is given has to hold. With --near it finds colours that were
measured, the nearest first: what was used on a wood like this one? What was put right or
withdrawn is left out.`,
		`  huewright log find --near "44.1,14.2,19.8" --within 4
  huewright log find --near "#7a5a40" --coating "brown wash" --wood ash
  huewright log find drinks --since 2026-01-01`,
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return wrongUse("put the text in quotes", "%d arguments, need one text at most", len(args))
			}
			return nil
		},
		func(cmd *cobra.Command, args []string) (err error) {
			if len(args) == 1 {
				q.Text = args[0]
			}
			if near != "" {
				c, err := nearFlag(near)
				if err != nil {
					return err
				}
				q.Near = &c
			}
			if q.Since, err = timeFlag(since); err != nil {
				return err
			}
			if q.Until, err = timeFlag(until); err != nil {
				return err
			}
			if until != "" && !strings.Contains(until, ":") {
				q.Until = q.Until.Add(24*time.Hour - time.Millisecond)
			}
			return flags.look(cmd, func(l *logbook.Log) error {
				all, err := l.Find(cmd.Context(), q)
				if err != nil {
					return err
				}
				if asJSON {
					return report.FoundJSON(stdout, all, q.Near != nil)
				}
				return report.FoundText(stdout, all, q.Near != nil, time.Local)
			})
		})
	fl := cmd.Flags()
	fl.SortFlags = false
	fl.StringVar(&near, "near", "", "the colour to be near, \"L,a,b\" or \"#7a5a40\", `COLOUR`")
	fl.Float64Var(&q.Within, "within", 0, "how near, in CIEDE2000; without it 3, `ΔE00`")
	fl.StringVar(&q.Piece, "piece", "", "of this `PIECE`")
	fl.StringVar(&q.Area, "area", "", "of this `AREA`")
	fl.StringVar(&q.Wood, "wood", "", "on areas of a `WOOD`")
	fl.StringVar(&q.Coating, "coating", "", "about a `COATING`, or read under it")
	fl.StringVar(&q.Of, "of", "", "readings `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	fl.StringVar(&since, "since", "", "from a `DATE` on")
	fl.StringVar(&until, "until", "", "to a `DATE`")
	fl.IntVar(&q.Limit, "limit", 0, "the most to be shown; without it 50, `N`")
	fl.BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

// nearFlag is a colour as three figures or as a hex code.
func nearFlag(text string) (colour.Lab, error) {
	if strings.HasPrefix(text, "#") {
		c, err := colour.ParseHex(text)
		if err != nil {
			return colour.Lab{}, wrongUse("six hexadecimal digits after #", "--near: %w", err)
		}
		return c.Linear().Lab(), nil
	}
	return labFlag("--near", text)
}

func newLogScores(stdout io.Writer, flags *logFlags) *cobra.Command {
	var asJSON bool
	cmd := logCommand("scores", "say how good past predictions have been",
		"Scores holds every colour that a plan foresaw against the one that was measured when its coats were\non, and every count against the one it came to; and says what plans allow for because of it.",
		"  huewright log scores", exactly(0, "none", ""),
		func(cmd *cobra.Command, args []string) error {
			return flags.look(cmd, func(l *logbook.Log) error {
				s, err := record.ScoresOf(cmd.Context(), l)
				if err != nil {
					return err
				}
				if asJSON {
					return report.ScoresJSON(stdout, s)
				}
				return report.ScoresText(stdout, s)
			})
		})
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func newLogLabel(stdout io.Writer, flags *logFlags) *cobra.Command {
	return logCommand("label PIECE AREA", "write what belongs on the back of a sample board",
		"Label gathers what people write on the back of a sample board, as plain text to print or copy.",
		"  huewright log label \"music cabinet\" frame", exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error {
			return flags.look(cmd, func(l *logbook.Log) error {
				b, err := l.Board(cmd.Context(), args[0], args[1])
				if err != nil {
					return err
				}
				return report.LabelText(stdout, b, time.Local)
			})
		})
}

func newLogDrift(stdout io.Writer, flags *logFlags) *cobra.Command {
	var asJSON bool
	var svg string
	cmd := logCommand("drift PIECE AREA", "follow an area's colour over months",
		"Drift tells how the colour of an area went since its last coat, whether that is more than its\nreadings may be off, and in which direction its wood is known to go.",
		"  huewright log drift \"music cabinet\" frame --svg frame.svg", exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error {
			return flags.look(cmd, func(l *logbook.Log) error {
				d, err := record.DriftOf(cmd.Context(), l, args[0], args[1])
				if err != nil {
					return err
				}
				if svg != "" {
					if err := newFile(svg); err != nil {
						return err
					}
					var picture bytes.Buffer
					if err := report.DriftSVG(&picture, d, time.Local); err != nil {
						return err
					}
					if err := atomicfile.WriteBytes(svg, picture.Bytes()); err != nil {
						return err
					}
				}
				if asJSON {
					return report.DriftJSON(stdout, d)
				}
				return report.DriftText(stdout, d, time.Local)
			})
		})
	cmd.Flags().StringVar(&svg, "svg", "", "draw it to a new `FILE`")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}

func newLogAgain(stdout io.Writer, flags *logFlags) *cobra.Command {
	var asJSON bool
	cmd := logCommand("again NUMBER", "make a plan of the log once more",
		"Again makes a plan once more from the photos and the question that were kept, as this version of\nthe program does it. The log stays as it is. NUMBER is that of an entry of the plan.",
		"  huewright log again 12", exactly(1, "one: the number of an entry of a plan", "12"),
		func(cmd *cobra.Command, args []string) error {
			number, err := strconv.ParseInt(strings.TrimPrefix(args[0], "#"), 10, 64)
			if err != nil {
				return wrongUse("as in: huewright log again 12; \"huewright log show PIECE\" tells the numbers", "%q is no number of an entry", args[0])
			}
			return flags.look(cmd, func(l *logbook.Log) error {
				e, err := l.Entry(cmd.Context(), number)
				if err != nil {
					return err
				}
				if e.Run == 0 {
					return wrongUse("name an entry of a plan", "entry #%d was written by a person", number)
				}
				result, run, err := record.Replan(cmd.Context(), l, e.Run)
				if err != nil {
					return err
				}
				if asJSON {
					return report.PlanJSON(stdout, result)
				}
				if _, err := fmt.Fprintf(stdout, "asked on %s, of version %s; answered now by version %s\n\n", e.At.Local().Format("2006-01-02 15:04"), run.Program, version()); err != nil {
					return err
				}
				return report.PlanText(stdout, result)
			})
		})
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	return cmd
}
