package chart

import (
	"context"
	"fmt"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/fault"
)

// Fit reads the chart between corners and fits the photo's correction to it. Corners that cannot be meant, or
// are given in another order, are a [CornersError]; corners over something that is not the chart, or shows too
// little of it, are an [imageio.PhotoError].
func Fit(
	ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options,
) (*camera.Correction, camera.Report, *Chart, error) {
	fail := func(err error) (*camera.Correction, camera.Report, *Chart, error) {
		return nil, camera.Report{}, nil, err
	}
	refuse := func(problem, advice string) (*camera.Correction, camera.Report, *Chart, error) {
		return fail(&imageio.PhotoError{Path: p.Path, Problem: problem, Advice: advice})
	}
	chart, err := read(ctx, p, corners, opt)
	if err != nil {
		return fail(err)
	}
	if usable := chart.usable(); usable < leastPatches {
		return refuse(
			fmt.Sprintf("only %d of the chart's %d patches can be used, need %d: the others are clipped", usable, len(chart.Samples), leastPatches),
			"take the photo again with less exposure, and turn the chart so that no lamp or window is reflected in it; "+
				"check that the corners are the chart's",
		)
	}
	fit := camera.FitError(chart.Samples)
	if fit > surelyChart {
		if err := otherOrder(ctx, p, corners, opt, fit); err != nil {
			return fail(err)
		}
	}
	if fit > perhapsChart {
		return refuse(
			fmt.Sprintf("what lies between the corners does not look like the 24-patch chart: "+
				"its colours are off by ΔE00 %.0f on average, whichever way round", fit),
			"check that the corners are those of the patch field and the chart is one of 4 rows of 6; "+
				"otherwise use a grey card or paper instead",
		)
	}
	correction, report, err := chart.fitClean()
	if err != nil {
		return refuse(err.Error(), "take the photo again")
	}
	if err := chart.enough(p.Path); err != nil {
		return fail(err)
	}
	if fit > surelyChart && !chart.doubted() {
		chart.Warnings = append(chart.Warnings, fault.Saying("the chart fits poorly (ΔE00 %.1f on average): "+
			"look for glare, shadow or dirt on it, and for corners that are off", fit))
	}
	return correction, report, chart, nil
}

// read reads the patches of a chart between corners. Corners that cannot be meant are a [CornersError].
func read(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*Chart, error) {
	if err := checkCorners(p, corners); err != nil {
		return nil, err
	}
	return readPatches(ctx, p, corners, opt)
}
