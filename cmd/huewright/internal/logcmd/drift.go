package logcmd

import (
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/report/picture"
)

type logDriftFlags struct {
	logLookFlags
	svg string
}

func newLogDrift(stdout io.Writer, log *shell.LogFlags) *cobra.Command {
	flags := logDriftFlags{logLookFlags: logLookFlags{log: log}}
	cmd := logCommand("drift PIECE AREA", "follow an area's colour over months",
		"Drift tells how the colour of an area went since its last coat, whether that is more than its\n"+
			"readings may be off, and in which direction its wood is known to go.",
		"  huewright log drift \"music cabinet\" frame --svg frame.svg",
		shell.Exactly(2, "two: the piece's name and the area's", "\"music cabinet\" frame"),
		func(cmd *cobra.Command, args []string) error {
			return runLogDrift(cmd, stdout, args[0], args[1], &flags)
		})
	cmd.Flags().StringVar(&flags.svg, "svg", "", "draw it to a new `FILE`")
	flags.register(cmd)
	return cmd
}

func runLogDrift(cmd *cobra.Command, stdout io.Writer, piece, area string, flags *logDriftFlags) error {
	return look(flags.log, cmd, func(l *logbook.Log) error {
		d, err := record.DriftOf(cmd.Context(), l, piece, area)
		if err != nil {
			return err
		}
		if flags.svg != "" {
			if err := shell.WriteNew(flags.svg, func(w io.Writer) error { return picture.Drift(w, d, time.Local) }); err != nil {
				return err
			}
		}
		return shell.PrintResult(stdout, flags.json, d, local(report.DriftText), report.DriftJSON)
	})
}

func newLogAgain(stdout io.Writer, log *shell.LogFlags, program string) *cobra.Command {
	flags := logLookFlags{log: log}
	cmd := logCommand("again NUMBER", "make a plan of the log once more",
		"Again makes a plan once more from the photos and the question that were kept, as this version of\n"+
			"the program does it. The log stays as it is. NUMBER is that of an entry of the plan.",
		"  huewright log again 12", shell.Exactly(1, "one: the number of an entry of a plan", "12"),
		func(cmd *cobra.Command, args []string) error {
			return runLogAgain(cmd, stdout, program, args[0], &flags)
		})
	flags.register(cmd)
	return cmd
}

func runLogAgain(cmd *cobra.Command, stdout io.Writer, program, entry string, flags *logLookFlags) error {
	number, err := entryNumber("again", entry)
	if err != nil {
		return err
	}
	return look(flags.log, cmd, func(l *logbook.Log) error {
		e, err := l.Entry(cmd.Context(), number)
		if err != nil {
			return err
		}
		if e.Run == 0 {
			return shell.WrongUse("name an entry of a plan", "entry #%d was written by a person", number)
		}
		result, run, err := record.Replan(cmd.Context(), l, e.Run)
		if err != nil {
			return err
		}
		if !flags.json {
			_, err := fmt.Fprintf(stdout, "asked on %s, of version %s; answered now by version %s\n\n",
				e.At.Local().Format("2006-01-02 15:04"), run.Program, program)
			if err != nil {
				return err
			}
		}
		return shell.PrintResult(stdout, flags.json, result, report.PlanText, report.PlanJSON)
	})
}
