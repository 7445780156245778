package main

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type compareFlags struct {
	photoFlags
	target string
}

func newCompare(stdout io.Writer) *cobra.Command {
	var flags compareFlags
	cmd := &cobra.Command{
		Use:   "compare PHOTO --area NAME=OUTLINE … --target NAME\n  huewright compare \"L,a,b\" \"L,a,b\"",
		Short: "say how far colours are apart",
		Long: `Compare says how far colours are from a target, in figures and in words. Name a photo with areas and a target, or name
two colours.

A target is the name of an area, three figures "L,a,b", or a code "#rrggbb".

The figures are CIEDE2000, CIE76, CIE94 and CMC(2:1). Go by the first. Below about 0.8 nobody sees the difference side
by side. Up to about 1.8 most people take two colours for the same (Paravina 2015, on samples without grain; grain hides
more).`,
		Example: `huewright compare front.jpg --area "frame=490,200,55,360" --area "panel=991,515,125,319" --target panel
huewright compare "44.1,14.2,19.8" "46.0,13.1,21.2"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 1 || len(args) > 2 {
				wrong := fault.New(fault.Use, "use.arguments", "have", len(args), "command", cmd.CommandPath(), "need", "a photo or two colours")
				return shell.Like(wrong, `huewright compare "44.1,14.2,19.8" "46.0,13.1,21.2"`)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 2 {
				return compareTyped(stdout, args[0], args[1], &flags)
			}
			return runCompare(cmd.Context(), stdout, args[0], &flags)
		},
	}
	flags.register(cmd, "each area, a tab, its CIEDE2000 ±")
	cmd.Flags().StringVar(&flags.target, "target", "", "The `COLOUR` to compare with: the name of an area, \"L,a,b\" or \"#rrggbb\".")
	return cmd
}

func compareTyped(stdout io.Writer, first, second string, flags *compareFlags) error {
	ref, err := shell.Colour(first)
	if err != nil {
		return err
	}
	sample, err := shell.Colour(second)
	if err != nil {
		return err
	}
	d := workshop.Differ(ref, sample)
	if flags.json {
		return report.DifferenceJSON(stdout, ref, sample, d)
	}
	return flags.style(stdout).DifferenceText(stdout, ref, sample, d)
}

func runCompare(ctx context.Context, stdout io.Writer, photo string, flags *compareFlags) error {
	measure, err := flags.request(photo)
	if err != nil {
		return err
	}
	if flags.target == "" {
		return shell.Like(fault.New(fault.Use, "use.no-target"), `--target panel, --target "44.1,14.2,19.8" or --target "#7a5a40"`)
	}
	req := workshop.CompareRequest{MeasureRequest: measure, Target: flags.target}
	if looksLikeColour(flags.target) {
		target, err := shell.Colour(flags.target)
		if err != nil {
			return err
		}
		req.Target, req.TargetLab = "", &target
	}
	result, err := workshop.Compare(ctx, shell.Disk(ctx, ""), req)
	if err != nil {
		return err
	}
	if err := flags.writeOverlay(ctx, result.Outlined(measure), result.Calibration); err != nil {
		return err
	}
	if err := shell.PrintResult(stdout, flags.json, result, flags.style(stdout).CompareText, report.CompareJSON); err != nil {
		return err
	}
	return settle(flags.strict, result.Calibration.Relative)
}

func looksLikeColour(s string) bool {
	return strings.HasPrefix(s, "#") || strings.Count(s, ",") == 2
}
