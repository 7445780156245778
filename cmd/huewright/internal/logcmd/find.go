package logcmd

import (
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/report"
)

func (g *group) find() *cobra.Command {
	cmd := command("find [TEXT]", "find entries by word, wood, coating, date or colour",
		`Find looks through all pieces. All that is given has to hold. With --near it finds colours that were
measured, the nearest first: what was used on a wood like this one? What was put right or
withdrawn is left out.`,
		`  huewright log find --near "44.1,14.2,19.8" --within 4
  huewright log find --near "#7a5a40" --coating "brown wash" --wood ash
  huewright log find drinks --since 2026-01-01`,
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return shell.WrongUse("put the text in quotes", "%d arguments, need one text at most", len(args))
			}
			return nil
		})
	var q logbook.Query
	f := cmd.Flags()
	f.SortFlags = false
	near := f.String("near", "", "the colour to be near, \"L,a,b\" or \"#7a5a40\", `COLOUR`")
	f.Float64Var(&q.Within, "within", 0, "how near, in CIEDE2000; without it 3, `ΔE00`")
	f.StringVar(&q.Piece, "piece", "", "of this `PIECE`")
	f.StringVar(&q.Area, "area", "", "of this `AREA`")
	f.StringVar(&q.Wood, "wood", "", "on areas of a `WOOD`")
	f.StringVar(&q.Coating, "coating", "", "about a `COATING`, or read under it")
	f.StringVar(&q.Of, "of", "", "readings `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	since := f.String("since", "", "from a `DATE` on")
	until := f.String("until", "", "to a `DATE`")
	f.IntVar(&q.Limit, "limit", 0, "the most to be shown; without it 50, `N`")
	asJSON := jsonFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		q.Text = strings.Join(args, "") // of one argument or none
		if err := narrow(&q, *near, *since, *until); err != nil {
			return err
		}
		return g.look(cmd, func(l *logbook.Log) error {
			all, err := l.Find(cmd.Context(), q)
			if err != nil {
				return err
			}
			if *asJSON {
				return report.FoundJSON(g.stdout, all, q.Near != nil)
			}
			return g.style(false).FoundText(g.stdout, all, q.Near != nil, time.Local)
		})
	}
	return cmd
}

// narrow puts a colour and dates into a query, as flags give them.
func narrow(q *logbook.Query, near, since, until string) (err error) {
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
	return nil
}
