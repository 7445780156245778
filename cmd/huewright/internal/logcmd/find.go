package logcmd

import (
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/report"
)

type logFindFlags struct {
	logLookFlags
	query              logbook.Query
	near, since, until string
}

func newLogFind(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logFindFlags{logLookFlags: logLookFlags{log: log}}
	cmd := logCommand("find [TEXT]", "find entries by word, wood, coating, date or colour",
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
		},
		func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				flags.query.Text = args[0]
			}
			return runLogFind(cmd, stdout, &flags)
		})
	f, q := cmd.Flags(), &flags.query
	f.SortFlags = false
	f.StringVar(&flags.near, "near", "", "the colour to be near, \"L,a,b\" or \"#7a5a40\", `COLOUR`")
	f.Float64Var(&q.Within, "within", 0, "how near, in CIEDE2000; without it 3, `ΔE00`")
	f.StringVar(&q.Piece, "piece", "", "of this `PIECE`")
	f.StringVar(&q.Area, "area", "", "of this `AREA`")
	f.StringVar(&q.Wood, "wood", "", "on areas of a `WOOD`")
	f.StringVar(&q.Coating, "coating", "", "about a `COATING`, or read under it")
	f.StringVar(&q.Of, "of", "", "readings `OF`: "+strings.Join(logbook.ReadingsOf, ", "))
	f.StringVar(&flags.since, "since", "", "from a `DATE` on")
	f.StringVar(&flags.until, "until", "", "to a `DATE`")
	f.IntVar(&q.Limit, "limit", 0, "the most to be shown; without it 50, `N`")
	flags.register(cmd)
	return cmd
}

func runLogFind(cmd *cobra.Command, stdout io.Writer, flags *logFindFlags) (err error) {
	q := flags.query
	if flags.near != "" {
		c, err := nearFlag(flags.near)
		if err != nil {
			return err
		}
		q.Near = &c
	}
	if q.Since, err = timeFlag(flags.since); err != nil {
		return err
	}
	if q.Until, err = timeFlag(flags.until); err != nil {
		return err
	}
	if flags.until != "" && !strings.Contains(flags.until, ":") {
		q.Until = q.Until.Add(24*time.Hour - time.Millisecond)
	}
	return look(flags.log, cmd, func(l *logbook.Log) error {
		all, err := l.Find(cmd.Context(), q)
		if err != nil {
			return err
		}
		if flags.json {
			return report.FoundJSON(stdout, all, q.Near != nil)
		}
		return report.FoundText(stdout, all, q.Near != nil, time.Local)
	})
}

// nearFlag is a colour as three figures or as a hex code.
func nearFlag(text string) (colour.Lab, error) {
	if strings.HasPrefix(text, "#") {
		c, err := colour.ParseHex(text)
		if err != nil {
			return colour.Lab{}, shell.WrongUse("six hexadecimal digits after #", "--near: %w", err)
		}
		return c.Linear().Lab(), nil
	}
	return labFlag("--near", text)
}
