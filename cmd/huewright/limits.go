package main

import (
	"context"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// ends are the limits of a run, as --limit gives them.
type ends struct {
	piece.Limits
	seconds float64 // 0 for as long as it takes
}

var limitNames = []string{"megapixels", "megabytes", "memory", "photos", "areas", "coatings", "letters", "seconds"}

// parseLimits reads "megapixels=200" and the like.
func parseLimits(given []string) (e ends, err error) {
	for _, g := range given {
		name, text, ok := strings.Cut(g, "=")
		v, bad := strconv.ParseFloat(strings.TrimSpace(text), 64)
		if !ok || bad != nil || math.IsNaN(v) || v <= 0 || v > 1e9 {
			return e, shell.Like(fault.New(fault.Use, "use.limit-form", "value", g), "--limit megapixels=200")
		}
		switch whole := int(math.Ceil(v)); strings.TrimSpace(name) {
		case "megapixels":
			e.Photo.Megapixels = v
		case "megabytes":
			e.Photo.Megabytes = v
		case "memory":
			e.Photo.Memory = v
		case "photos":
			e.Photos = whole
		case "areas":
			e.Areas = whole
		case "coatings":
			e.Coatings = whole
		case "letters":
			e.Letters = whole
		case "seconds":
			e.seconds = v
		default:
			return e, shell.DidYouMean(fault.New(fault.Use, "use.no-limit", "name", name, "limits", limitNames), name, limitNames)
		}
	}
	return e, nil
}

// withEnds gives a command and those below it their exit codes, in their help too, and their limits, and lets them be
// ended: all that takes long stops with its context, which ends when the program is interrupted or the command's time
// is up. What was done all the same by then is done.
func withEnds(cmd *cobra.Command, given *[]string) {
	for _, sub := range cmd.Commands() {
		withEnds(sub, given)
	}
	if cmd.RunE == nil {
		return
	}
	if cmd.Long != "" {
		cmd.Long = strings.TrimRight(cmd.Long, "\n") + exitCodesHelp
	}
	work := cmd.RunE
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		e, err := parseLimits(*given)
		if err != nil {
			return err
		}
		ctx := shell.WithLimits(cmd.Context(), e.Limits)
		if e.seconds > 0 {
			var stop context.CancelFunc
			ctx, stop = context.WithTimeoutCause(ctx, time.Duration(e.seconds*float64(time.Second)), errTooSlow)
			defer stop()
		}
		cmd.SetContext(ctx)
		err = work(cmd, args)
		switch {
		case err == nil, ctx.Err() == nil, slices.Contains(keepsOn, cmd.Name()):
			return err
		case errors.Is(context.Cause(ctx), errTooSlow):
			return errTooSlow
		}
		return errInterrupted
	}
}

// keepsOn are the commands that are ended by being interrupted, and then have done their work.
var keepsOn = []string{"serve"}
