package chart

import (
	"cmp"
	"context"
	"math"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/fault"
)

// Fit reads the chart between corners and fits the photo's correction to it. Corners that cannot be meant, or
// are given in another order, are a fault of kind Use; corners over something that is not the chart, or shows too
// little of it, are one of kind Photo.
func Fit(
	ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options,
) (*camera.Correction, camera.Report, *Chart, error) {
	fail := func(err error) (*camera.Correction, camera.Report, *Chart, error) {
		return nil, camera.Report{}, nil, err
	}
	refuse := func(f *fault.Fault) (*camera.Correction, camera.Report, *Chart, error) {
		return fail(fault.In(f, fault.Place{File: p.Path}))
	}
	chart, err := read(ctx, p, corners, opt)
	if err != nil {
		return fail(err)
	}
	if usable := chart.usable(); usable < leastPatches {
		return refuse(fault.New(fault.Photo, "chart.clipped", "have", usable, "of", len(chart.Samples), "need", leastPatches))
	}
	chart.evenOut()
	fit := camera.FitError(chart.Samples)
	if fit > surelyChart {
		if err := otherOrder(ctx, p, corners, opt, fit); err != nil {
			return fail(err)
		}
		if err := elsewhere(ctx, p, corners, opt, fit); err != nil {
			return fail(err)
		}
	}
	if fit > perhapsChart {
		return refuse(fault.New(fault.Photo, "chart.unlike", "misfit", fit))
	}
	correction, report, err := chart.fitClean()
	if err != nil {
		return refuse(fault.New(fault.Photo, "chart.no-fit").Because(err))
	}
	if err := chart.enough(p.Path); err != nil {
		return fail(cmp.Or(elsewhere(ctx, p, corners, opt, math.Inf(1)), err))
	}
	if fit > surelyChart && !chart.doubted() {
		chart.Warnings = append(chart.Warnings, fault.Say("chart.poor-fit", "misfit", fit))
	}
	return correction, report, chart, nil
}

// read reads the patches of a chart between corners. Corners that cannot be meant are a fault of kind Use.
func read(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*Chart, error) {
	if err := checkCorners(p, corners); err != nil {
		return nil, err
	}
	return readPatches(ctx, p, corners, opt)
}
