package chart

import (
	"context"
	"math"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/fault"
)

// How well a chart must fit, as [camera.FitError]. Photos of whole charts by phones and cameras fit within 5.1,
// and one with a third of its patches clipped or smeared within 7.3; in a wrong order, or over anything that is
// not the chart, none came under 10.7.
const (
	surelyChart  = 5.0
	perhapsChart = 9.0
)

// cornerPatches are the patches at the corners, in the order of the corners.
var cornerPatches = [4]string{"dark brown", "bluish green", "black", "white"}

// otherOrder returns a fault that gives the right order if the corners fit clearly better in another one.
func otherOrder(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options, given float64) error {
	best, bestOrder, mirrored := given, [4]int{}, false
	for turn := range 4 {
		for _, flip := range []bool{false, true} {
			if turn == 0 && !flip {
				continue
			}
			var order [4]int
			var q [4]imageio.Point
			for i := range order {
				order[i] = (turn + i) % 4
				if flip {
					order[i] = (turn - i + 4) % 4
				}
				q[i] = corners[order[i]]
			}
			chart, err := readPatches(ctx, p, q, opt)
			if err != nil {
				return err
			}
			if fit := camera.FitError(chart.Samples); fit < best {
				best, bestOrder, mirrored = fit, order, flip
			}
		}
	}
	if best > perhapsChart || best > given/2 {
		return nil
	}
	var right pose
	var seen [4]string // patches in the given order
	for i, k := range bestOrder {
		right[i] = corners[k]
		seen[k] = cornerPatches[i]
	}
	order := cornersText(right, "%g") // with every digit that they were given with
	wrong := fault.New(fault.Use, "chart.corners-turned", "first", seen[0], "meant", cornerPatches[0], "order", order)
	if mirrored {
		wrong = fault.New(fault.Use, "chart.corners-mirrored", "first", seen[0], "second", seen[1], "order", order)
	}
	return fault.In(wrong, fault.Place{File: p.Path})
}

// cornersAstray is how far corners must be from those that are found, in patches, to be refused. Another detector's are 0.36 off at most.
const cornersAstray = 0.4

// elsewhere returns a fault, where the corners were given, if the chart is found elsewhere and fits clearly better there.
func elsewhere(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options, given float64) error {
	middle := plane.Centre(corners)
	found, err := Find(ctx, p, Search{At: &middle, Options: opt})
	if err != nil {
		if found, err = Find(ctx, p, Search{Options: opt}); err != nil {
			return ctx.Err()
		}
	}
	astray, patch := 0.0, shortestSide(found.Corners)
	for i, c := range found.Corners {
		astray = max(astray, math.Hypot(c.X-corners[i].X, c.Y-corners[i].Y))
	}
	if astray < cornersAstray*patch || found.misfit > given/1.5 {
		return nil
	}
	return fault.In(fault.New(fault.Use, "chart.corners-off", "order", cornersText(found.Corners, "%.1f")), fault.Place{File: p.Path})
}
