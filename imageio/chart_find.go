package imageio

import (
	"fmt"
	"math"
	"strings"

	"huewright/colour"
)

// ChartSearch says which chart is looked for. The zero value looks for the only one there is.
type ChartSearch struct {
	At      *Point         // of several charts, the one that has this point in its patch field
	Edition colour.Edition // of its published values; default since November 2014
}

// A FoundChart is a chart that was found in a photo.
type FoundChart struct {
	Corners [4]Point // of the patch field, as FitChart takes them
	Misfit  float64  // mean ΔE00 of its patches from a fit to them
	Next    float64  // the same for the best of the other ways round
}

// A ChartFault is why a chart that is looked for is not one that can be used.
type ChartFault string

// Faults of a search.
const (
	NoChart       ChartFault = "no chart"
	Mirrored      ChartFault = "mirrored"
	Covered       ChartFault = "partly covered"
	CutOff        ChartFault = "cut off"
	OtherCard     ChartFault = "another card"
	EitherWay     ChartFault = "either way round"
	SeveralCharts ChartFault = "several charts"
)

// A ChartError reports that no chart can be used, and why.
type ChartError struct {
	Path    string // of the photo, as the user gave it
	Fault   ChartFault
	Places  [][4]Point // corners of what was found: of all charts, or of each way round
	Problem string
	Advice  string
}

func (e *ChartError) Error() string { return joinPath(e.Path, e.Problem) }

// Hint says what to do next.
func (e *ChartError) Hint() string { return e.Advice }

// thumbSide is how long a thumb is at most, for each time the search is run: first where
// most charts show, then finer for small ones.
var thumbSides = [...]int{1024, 2048}

// FindChart looks for the 24-patch chart. Every error is a *ChartError.
func (p *Photo) FindChart(opt ChartSearch) (*FoundChart, error) {
	var all []finding
	last := 0
	for _, side := range thumbSides {
		k := (max(p.Width, p.Height) + side - 1) / side
		if k == last {
			break
		}
		last = k
		all = append(all, p.chartsOn(p.thumb(k), opt)...)
		if i := bestWhole(all); i >= 0 {
			break
		}
	}
	return p.choose(all)
}

func bestWhole(all []finding) int {
	for i := range all {
		if all[i].fault == "" {
			return i
		}
	}
	return -1
}

// chartsOn lists what is on a thumb.
func (p *Photo) chartsOn(t *thumb, opt ChartSearch) []finding {
	var found []finding
	blobs := t.blobs()
	for _, l := range lattices(blobs) {
		poses := t.poses(&l)
		if len(poses) == 0 {
			continue
		}
		f, ok := p.judge(poses[0].pose, opt.Edition)
		debugf("lattice %d poses %d log %.3f next %.3f misfit %.2f next %.2f shown %d fault %q hidden %v outside %v ok %v", len(l.at), len(poses), poses[0].misfit, poses[1].misfit, f.misfit, f.next, f.shown, f.fault, f.hidden, f.outside, ok)
		if ok {
			found = append(found, f)
		}
	}
	return found
}

var debugf = func(string, ...any) {}

func (p *Photo) choose(all []finding) (*FoundChart, error) {
	i := bestWhole(all)
	if i < 0 {
		if len(all) > 0 {
			return nil, &ChartError{p.Path, all[0].fault, nil, fmt.Sprintf("%s: %v %v", all[0].fault, strings.Join(all[0].hidden, ","), all[0].outside), ""}
		}
		return nil, &ChartError{p.Path, NoChart, nil, "none", ""}
	}
	return &FoundChart{all[i].corners, all[i].misfit, all[i].next}, nil
}

// width is the length of the longer of the chart's sides along its rows.
func (c *FoundChart) width() float64 {
	q := c.Corners
	return max(math.Hypot(q[1].X-q[0].X, q[1].Y-q[0].Y), math.Hypot(q[2].X-q[3].X, q[2].Y-q[3].Y))
}
