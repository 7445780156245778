package main

import (
	"io"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type timetableFlags struct {
	bench benchFlags
	ics   string
	full  *bool
	quiet *bool
	json  bool

	overwrite *bool
}

// benchFlags say when and where the work is done, over what the piece file says.
type benchFlags struct {
	start                 string
	temperature, humidity float64
}

func (f *benchFlags) register(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.start, "start", "", "The `TIME` when work begins, as in 2026-03-14T09:00. "+
		"Default: the piece file's, or else now.")
	cmd.Flags().Float64Var(&f.temperature, "temperature", 0, "How warm the room is, in `DEGREES` C; F if the piece file has units = \"us\". "+
		"Default: the piece file's.")
	cmd.Flags().Float64Var(&f.humidity, "humidity", 0, "How damp the room is, in `PERCENT`. Default: the piece file's.")
}

// settle puts what the flags say into the piece.
func (f *benchFlags) settle(cmd *cobra.Command, p *piece.Piece) error {
	room := piece.Room{}
	if p.Room != nil {
		room = *p.Room
	}
	if cmd.Flags().Changed("start") {
		room.Start = f.start
	}
	if cmd.Flags().Changed("temperature") {
		if !(f.temperature >= -40 && f.temperature <= 130) {
			return fault.New(fault.Use, "use.temperature", "value", f.temperature)
		}
		room.Temperature = &f.temperature
	}
	if cmd.Flags().Changed("humidity") {
		if !(f.humidity >= 0 && f.humidity <= 100) {
			return fault.New(fault.Use, "use.humidity", "value", f.humidity)
		}
		room.Humidity = &f.humidity
	}
	p.Room = &room
	return nil
}

// scheduled plans a piece and lays its coats out in time.
func (f *benchFlags) scheduled(
	cmd *cobra.Command, path string, coats coatsFlag, now time.Time,
) (*workshop.Photos, *workshop.PlanResult, *workshop.Schedule, error) {
	photos, result, err := planned(cmd.Context(), path, coats, func(p *piece.Piece) error { return f.settle(cmd, p) })
	if err != nil {
		return nil, nil, nil, err
	}
	schedule, err := result.Schedule(time.Time{}, now)
	return photos, result, schedule, err
}

func newTimetable(stdout io.Writer) *cobra.Command {
	var flags timetableFlags
	cmd := &cobra.Command{
		Use:   "timetable PIECE.toml",
		Short: "say when each step is done, from cleaning to cure",
		Long: `Timetable plans the piece and lays out all work in time: cleaning, tests, sanding, each coat, rubbing down, clear
coats and cure. Two coatings that must not touch get a sealer between them. What does not apply is left out. It uses
only the hours that you work.

The times on your labels come first. Write them in the piece file as recoat_after, recoat_before, not_below, not_above
and not_damper. Without them timetable takes usual times. If none is known, it takes a night and says so. If the room is
too cold, too damp or too hot for a coat, the coat is left out, and the answer says when it could go on.

The three cautions that matter most follow. Add --full for all of them, and for those of each step. No answer takes a
caution away.`,
		Example: `huewright timetable cabinet.toml --start 2026-03-14T09:00 --temperature 19 --humidity 55 --ics coats.ics`,
		Args:    shell.Exactly(1, "one: the piece file", "cabinet.toml"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runTimetable(cmd, stdout, args[0], &flags)
		},
	}
	flags.bench.register(cmd)
	cmd.Flags().StringVar(&flags.ics, "ics", "", "Write all steps to a new calendar `FILE`.")
	flags.full, flags.quiet = shell.FullFlag(cmd), shell.QuietFlag(cmd, "a line for each step, then the cautions that matter most")
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	flags.overwrite = shell.OverwriteFlag(cmd)
	return cmd
}

func runTimetable(cmd *cobra.Command, stdout io.Writer, path string, flags *timetableFlags) error {
	now := time.Now()
	_, result, schedule, err := flags.bench.scheduled(cmd, path, "", now)
	if err != nil {
		return err
	}
	if flags.ics != "" {
		err := shell.WriteNew(flags.ics, *flags.overwrite, func(w io.Writer) error {
			return report.Style{}.Of(&result.Piece).Calendar(w, result.Piece.Name, schedule, now)
		})
		if err != nil {
			return err
		}
	}
	style := shell.Style(stdout, *flags.full).Of(&result.Piece)
	style.Quiet = *flags.quiet
	return shell.PrintResult(stdout, flags.json, schedule, style.TimetableText, report.TimetableJSON)
}
