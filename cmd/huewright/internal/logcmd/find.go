package logcmd

import (
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/words"
)

func (g *group) find() *cobra.Command {
	cmd := command("find [TEXT]", "find entries by word, wood, coating, date or colour",
		`Find looks through all pieces. An entry must fit everything that you give. With --near it finds measured colours, the
nearest first. So you can ask: what did I use on a wood like this one? Withdrawn and corrected entries are left out.`,
		`huewright log find --near "44.1,14.2,19.8" --within 4
huewright log find --near "#7a5a40" --coating "nut-brown wash" --wood ash
huewright log find frame --since 2026-01-01`,
		func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fault.New(fault.Use, "logcmd.one-text", "n", len(args))
			}
			return nil
		})
	var q logbook.Query
	f := cmd.Flags()
	f.SortFlags = false
	near := f.String("near", "", "The `COLOUR` to be near, \"L,a,b\" or \"#7a5a40\".")
	f.Float64Var(&q.Within, "within", 0, "How near, as `ΔE00`. Default: 3.")
	f.StringVar(&q.Piece, "piece", "", "Only this `PIECE`.")
	f.StringVar(&q.Area, "area", "", "Only this `AREA`.")
	f.StringVar(&q.Wood, "wood", "", "Only areas of this `WOOD`.")
	f.StringVar(&q.Coating, "coating", "", "Only what is about this `COATING`, and colours read over it.")
	f.StringVar(&q.Of, "of", "", "Only colours of this `THING`: "+strings.Join(logbook.ReadingsOf, ", ")+".")
	since := f.String("since", "", "Only this `DATE` or later.")
	until := f.String("until", "", "Only this `DATE` or earlier.")
	f.IntVar(&q.Limit, "most", 0, "Show at most `N` entries. Default: 50.")
	asJSON := jsonFlag(cmd)
	cmd.PreRunE = func(cmd *cobra.Command, args []string) error { return oldMost(cmd, &q.Limit) }
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		q.Text = strings.Join(args, "") // of one argument or none
		if q.Limit < 0 {
			return fault.New(fault.Use, "logcmd.most", "n", q.Limit)
		}
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

// oldMost takes out of --limit a number alone, as --most was said before --limit meant the limits of every command.
func oldMost(cmd *cobra.Command, most *int) error {
	flag := cmd.Flag("limit")
	limits, ok := flag.Value.(pflag.SliceValue)
	if !ok || !flag.Changed {
		return nil
	}
	var others []string
	for _, given := range limits.GetSlice() {
		n, err := strconv.Atoi(given)
		if err != nil {
			others = append(others, given)
			continue
		}
		*most = n
		note := words.Speaker{}.Say(fault.Say("logcmd.limit-is-most", "n", n))
		if _, err := io.WriteString(cmd.ErrOrStderr(), note+"\n"); err != nil {
			return err
		}
	}
	return limits.Replace(others)
}

// narrow puts a colour and dates into a query, as flags give them.
func narrow(q *logbook.Query, near, since, until string) (err error) {
	if near != "" {
		c, err := shell.Colour(near)
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
		q.Until = q.Until.AddDate(0, 0, 1).Add(-time.Millisecond) // a day of 23 or 25 hours too
	}
	return nil
}
