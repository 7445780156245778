package chart

import (
	"context"
	"fmt"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
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

// otherOrder returns an error that gives the right order if the corners fit clearly better in another one.
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
	var right, seen [4]string // corners in the right order; patches in the given one
	for i, k := range bestOrder {
		right[i] = fmt.Sprintf("%g,%g", corners[k].X, corners[k].Y)
		seen[k] = cornerPatches[i]
	}
	problem := fmt.Sprintf("given in the wrong order: the first is at the %s patch, not the %s one", seen[0], cornerPatches[0])
	if mirrored {
		problem = fmt.Sprintf("they go round the chart the other way: the first is at the %s patch, the second at the %s one",
			seen[0], seen[1])
	}
	return &CornersError{p.Path, problem, fmt.Sprintf("the colours fit in this order: %q", strings.Join(right[:], " "))}
}
