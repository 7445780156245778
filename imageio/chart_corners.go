package imageio

import (
	"fmt"
	"math"
	"strings"

	"huewright/colour"
)

// A CornersError reports chart corners that cannot be meant as they were given.
type CornersError struct {
	Path    string // of the photo, as the user gave it
	Problem string
	Advice  string
}

func (e *CornersError) Error() string { return joinPath(e.Path, "chart corners: "+e.Problem) }

// Hint says what to do next.
func (e *CornersError) Hint() string { return e.Advice }

const cornersAdvice = "give the outer corners of the patch field, beginning at the dark-brown patch, along its row of six to the bluish-green one, then round"

func (p *Photo) checkCorners(q [4]Point) error {
	for i, c := range q {
		if !(c.X >= 0 && c.Y >= 0 && c.X <= float64(p.Width) && c.Y <= float64(p.Height)) {
			return &CornersError{p.Path, fmt.Sprintf("corner %d at %g,%g is outside the photo, which is %d × %d", i+1, c.X, c.Y, p.Width, p.Height), cornersAdvice}
		}
	}
	if !convex(q) {
		return &CornersError{p.Path, "they do not go round a rectangle seen from somewhere", "go round the chart in one direction, without crossing over; " + cornersAdvice}
	}
	if side := shortestSide(q); side < leastPatchSide {
		return &CornersError{p.Path, fmt.Sprintf("a patch is only %.1f pixels wide, need %d", side, leastPatchSide), "take the photo from nearer, or mark the corners of the whole patch field"}
	}
	return nil
}

// convex reports whether all four turns go the same way and none is flat.
func convex(q [4]Point) bool {
	turns := 0
	for i := range q {
		a, b, c := q[i], q[(i+1)%4], q[(i+2)%4]
		ab, bc := Point{b.X - a.X, b.Y - a.Y}, Point{c.X - b.X, c.Y - b.Y}
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

// How well the fit of a chart must go, as the mean ΔE00 of its patches. Photographs of the
// chart by phones fit within 1.5 to 3; the wrong way round, or over anything that is not a
// chart, none came under 8.
const (
	surelyChart  = 4.0
	perhapsChart = 6.0
)

// FitChart reads a chart and fits the photo's correction to it. Corners given in another
// order than ReadChart asks for are a *CornersError that gives the right one; corners over
// something that is not the chart are a *PhotoError.
func (p *Photo) FitChart(corners [4]Point, opt ChartOptions) (*colour.Correction, colour.FitReport, *Chart, error) {
	fail := func(err error) (*colour.Correction, colour.FitReport, *Chart, error) {
		return nil, colour.FitReport{}, nil, err
	}
	chart, err := p.ReadChart(corners, opt)
	if err != nil {
		return fail(err)
	}
	correction, report, err := colour.FitCamera(chart.Samples)
	if err != nil {
		return fail(&PhotoError{p.Path, err.Error(), "take the photo again"})
	}
	if report.MeanDeltaE <= surelyChart {
		return correction, report, chart, nil
	}
	if err := p.otherOrder(corners, opt, report.MeanDeltaE); err != nil {
		return fail(err)
	}
	if report.MeanDeltaE > perhapsChart {
		return fail(&PhotoError{
			p.Path, fmt.Sprintf("what lies between the corners does not look like the 24-patch chart: its colours are off by ΔE00 %.0f on average, whichever way round", report.MeanDeltaE),
			"check that the corners are those of the patch field and the chart is one of 4 rows of 6; otherwise use a grey card or paper instead",
		})
	}
	chart.Warnings = append(chart.Warnings, fmt.Sprintf("the chart fits poorly (ΔE00 %.1f on average): look for glare, shadow or dirt on it, and for corners that are off", report.MeanDeltaE))
	return correction, report, chart, nil
}

// otherOrder looks whether the corners would fit clearly better in another order, and
// returns the error that says so.
func (p *Photo) otherOrder(corners [4]Point, opt ChartOptions, given float64) error {
	best, bestOrder, mirrored := given, [4]int{}, false
	for turn := range 4 {
		for _, flip := range []bool{false, true} {
			if turn == 0 && !flip {
				continue
			}
			var order [4]int
			var q [4]Point
			for i := range order {
				order[i] = (turn + i) % 4
				if flip {
					order[i] = (turn - i + 4) % 4
				}
				q[i] = corners[order[i]]
			}
			if fit := colour.FitError(p.readChart(q, opt).Samples); fit < best {
				best, bestOrder, mirrored = fit, order, flip
			}
		}
	}
	if best > surelyChart || best > given/2 {
		return nil
	}
	var right [4]string
	for i, k := range bestOrder {
		right[i] = fmt.Sprintf("%g,%g", corners[k].X, corners[k].Y)
	}
	problem := "given in the wrong order: they begin at another patch than the dark brown"
	if mirrored {
		problem = "given in the wrong order: they go round the chart the other way"
	}
	return &CornersError{p.Path, problem, fmt.Sprintf("the colours fit in this order: %q", strings.Join(right[:], " "))}
}
