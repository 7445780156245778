package chart

import (
	"context"
	"fmt"
	"math"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/blob"
)

// A CornersError reports chart corners that cannot be meant as they were given.
type CornersError struct {
	Path    string // of the photo, as the user gave it
	Problem string
	Advice  string
}

func (e *CornersError) Error() string { return imageio.JoinPath(e.Path, "chart corners: "+e.Problem) }

// Hint says what to do next.
func (e *CornersError) Hint() string { return e.Advice }

const cornersAdvice = "give the outer corners of the patch field, beginning at the dark-brown patch, along its row of six to the bluish-green one, then round"

func checkCorners(p *imageio.Photo, q [4]imageio.Point) error {
	for i, c := range q {
		if !(c.X >= 0 && c.Y >= 0 && c.X <= float64(p.Width) && c.Y <= float64(p.Height)) {
			return &CornersError{p.Path, fmt.Sprintf("corner %d at %g,%g is outside the photo, which is %d × %d", i+1, c.X, c.Y, p.Width, p.Height), cornersAdvice}
		}
	}
	if !convex(q) {
		return &CornersError{p.Path, "they do not go round a rectangle seen from somewhere", "go round the chart in one direction, without crossing over; " + cornersAdvice}
	}
	if side := blob.ShortestSide(q); side < leastPatchSide {
		return &CornersError{p.Path, fmt.Sprintf("a patch is only %.1f pixels wide, need %d", side, leastPatchSide), "take the photo from nearer, or mark the corners of the whole patch field"}
	}
	return nil
}

// convex reports whether all four turns go the same way and none is flat.
func convex(q [4]imageio.Point) bool {
	turns := 0
	for i := range q {
		a, b, c := q[i], q[(i+1)%4], q[(i+2)%4]
		ab, bc := imageio.Point{X: b.X - a.X, Y: b.Y - a.Y}, imageio.Point{X: c.X - b.X, Y: c.Y - b.Y}
		sine := (ab.X*bc.Y - ab.Y*bc.X) / (math.Hypot(ab.X, ab.Y) * math.Hypot(bc.X, bc.Y))
		switch {
		case sine > 0.1:
			turns++
		case sine < -0.1:
			turns--
		}
	}
	return turns == 4 || turns == -4
}

// How well a chart must fit, as [camera.FitError]. Photographs of whole charts by phones and
// cameras fit within 5.1, and one with a third of its patches clipped or smeared within 7.3;
// in a wrong order, or over anything that is not the chart, none came under 10.7.
const (
	surelyChart  = 5.0
	perhapsChart = 9.0
)

// leastPatches is how many must be usable: with fewer nothing can be left out to tell how
// well the fit predicts, and a wrong order comes close to the right one.
const leastPatches = 13

// cornerPatches are at the corners in the order ReadChart takes them.
var cornerPatches = [4]string{"dark brown", "bluish green", "black", "white"}

// Fit reads a chart and fits the photo's correction to it. Corners given in another
// order than ReadChart asks for are a *CornersError that gives the right one; corners over
// something that is not the chart, or shows too little of it, are a *PhotoError.
func Fit(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*camera.Correction, camera.Report, *Chart, error) {
	fail := func(err error) (*camera.Correction, camera.Report, *Chart, error) {
		return nil, camera.Report{}, nil, err
	}
	chart, err := Read(ctx, p, corners, opt)
	if err != nil {
		return fail(err)
	}
	if usable := chart.usable(); usable < leastPatches {
		return fail(&imageio.PhotoError{
			Path: p.Path, Problem: fmt.Sprintf("only %d of the chart's %d patches can be used, need %d: the others are clipped", usable, len(chart.Samples), leastPatches),
			Advice: "take the photo again with less exposure, and turn the chart so that no lamp or window is reflected in it; check that the corners are the chart's",
		})
	}
	fit := camera.FitError(chart.Samples)
	if fit > surelyChart {
		if err := otherOrder(ctx, p, corners, opt, fit); err != nil {
			return fail(err)
		}
	}
	if fit > perhapsChart {
		return fail(&imageio.PhotoError{
			Path: p.Path, Problem: fmt.Sprintf("what lies between the corners does not look like the 24-patch chart: its colours are off by ΔE00 %.0f on average, whichever way round", fit),
			Advice: "check that the corners are those of the patch field and the chart is one of 4 rows of 6; otherwise use a grey card or paper instead",
		})
	}
	correction, report, err := chart.fitClean()
	if err != nil {
		return fail(&imageio.PhotoError{Path: p.Path, Problem: err.Error(), Advice: "take the photo again"})
	}
	if err := chart.enough(p.Path); err != nil {
		return fail(err)
	}
	if fit > surelyChart && !chart.doubted() {
		chart.Warnings = append(chart.Warnings, fmt.Sprintf("the chart fits poorly (ΔE00 %.1f on average): look for glare, shadow or dirt on it, and for corners that are off", fit))
	}
	return correction, report, chart, nil
}

func (c *Chart) usable() int {
	n := 0
	for _, s := range c.Samples {
		if s.Skip == "" {
			n++
		}
	}
	return n
}

// otherOrder looks whether the corners would fit clearly better in another order, and
// returns the error that says so.
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
		problem = fmt.Sprintf("they go round the chart the other way: the first is at the %s patch, the second at the %s one", seen[0], seen[1])
	}
	return &CornersError{p.Path, problem, fmt.Sprintf("the colours fit in this order: %q", strings.Join(right[:], " "))}
}
