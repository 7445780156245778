package imageio

import (
	"context"
	"fmt"
	"math"

	"huewright/colour"
)

// ChartOptions says how a chart is read.
type ChartOptions struct {
	Edition colour.Edition         // of its published values; default since November 2014
	Values  *[24]colour.ChartPatch // measured on this very chart; default the published ones
}

func (o ChartOptions) patches() [24]colour.ChartPatch {
	if o.Values != nil {
		return *o.Values
	}
	return colour.Chart24(o.Edition)
}

// A Chart is what a photo shows of the 24-patch chart: four rows of six.
type Chart struct {
	Samples  []colour.Sample // patch by patch, from the dark brown to the black
	Warnings []string
}

const (
	chartColumns, chartRows = 6, 4
	chartPatches            = chartColumns * chartRows

	// patchCore is the share of a patch, along each side, that is read: its middle, clear of
	// the border whatever way round the corners were tapped a little off.
	patchCore = 0.5
	// coreSide is how many points are read along each side of a core.
	coreSide = 20
	// leastPatchSide is the smallest patch, in pixels along a side, of which the core is more
	// than the smear of a lens and of JPEG's blocks.
	leastPatchSide = 8
	// mostClippedCore is the share of a core's points that may be near-clipped.
	mostClippedCore = 0.02
)

// ReadChart reads the patches of a chart by the outer corners of its patch field: beginning
// at the dark-brown patch, along its row of six to the bluish-green one, then round. Patches
// that are near-clipped are marked to be skipped. Corners that cannot be meant are a
// *CornersError.
func (p *Photo) ReadChart(ctx context.Context, corners [4]Point, opt ChartOptions) (*Chart, error) {
	if err := p.checkCorners(corners); err != nil {
		return nil, err
	}
	return p.readChart(ctx, corners, opt), nil
}

func (p *Photo) readChart(ctx context.Context, corners [4]Point, opt ChartOptions) *Chart {
	plane := planeOf(corners)
	var cores [chartPatches]core
	inParts(ctx, chartPatches, chartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			cores[i] = p.readCore(plane, i%chartColumns, i/chartColumns)
		}
	})
	return chartOf(cores, opt)
}

// chartOf tells what 24 patches, read in the order of the published values, are good for.
func chartOf(cores [chartPatches]core, opt ChartOptions) *Chart {
	chart := &Chart{}
	for i, patch := range opt.patches() {
		column, row := i%chartColumns, i/chartColumns
		core := &cores[i]
		s := colour.Sample{
			Name:   patch.Name,
			Camera: core.mean,
			Want:   patch.Lab,
			At: colour.Position{
				X: (float64(column)+0.5)/chartColumns - 0.5,
				Y: (float64(row)+0.5)/chartRows - 0.5,
			},
		}
		switch {
		case core.clipped > mostClippedCore:
			s.Skip = fmt.Sprintf("clipped in %.0f %% of its middle", 100*core.clipped)
		case core.change() > mostPatchChange:
			s.Doubt = fmt.Sprintf("its middle is uneven by %.0f %%, as by glare, shadow or dirt", 100*core.change())
		}
		if why := s.Skip + s.Doubt; why != "" {
			chart.Warnings = append(chart.Warnings, fmt.Sprintf("the chart's %s patch is left out: %s", patch.Name, why))
		}
		chart.Samples = append(chart.Samples, s)
	}
	return chart
}

// A core is the middle of one patch.
type core struct {
	mean    colour.LinearRGB
	clipped float64 // share of its points

	sections [patchSectionSide * patchSectionSide]float64 // mean luminance of each ninth
}

func (p *Photo) readCore(plane plane, column, row int) core {
	var channels [3][coreSide * coreSide]float64
	clipped := 0
	var sections, counts [patchSectionSide * patchSectionSide]float64
	for i := range coreSide * coreSide {
		across := (float64(i%coreSide)+0.5)/coreSide - 0.5
		down := (float64(i/coreSide)+0.5)/coreSide - 0.5
		at := plane.point((float64(column)+0.5+patchCore*across)/chartColumns, (float64(row)+0.5+patchCore*down)/chartRows)
		x := min(max(int(at.X), 0), p.Width-1)
		y := min(max(int(at.Y), 0), p.Height-1)
		c := p.Linear(x, y)
		channels[0][i], channels[1][i], channels[2][i] = c.R, c.G, c.B
		if p.Clipped(x, y) {
			clipped++
		}
		sections[section(i)] += luminance(c)
		counts[section(i)]++
	}
	for k, n := range counts {
		sections[k] /= n
	}
	return core{
		sections: sections,
		mean:     colour.LinearRGB{R: innerMean(channels[0][:]), G: innerMean(channels[1][:]), B: innerMean(channels[2][:])},
		clipped:  float64(clipped) / (coreSide * coreSide),
	}
}

// innerMean averages what lies between the lowest and the highest tenth: specks and
// scratches are left out.
func innerMean(values []float64) float64 {
	q := colour.Quantiles(values, trimmedShare, 1-trimmedShare)
	sum, n := 0.0, 0.0
	for _, v := range values {
		if v >= q[0] && v <= q[1] {
			sum += v
			n++
		}
	}
	return sum / n
}

// A plane maps a flat rectangle, seen from anywhere, to the photo: the homography that takes
// the unit square's corners (0,0), (1,0), (1,1), (0,1) to four points.
type plane struct{ a, b, c, d, e, f, g, h float64 }

// planeOf solves for the homography in closed form. The points must be the corners of a
// convex quadrilateral.
//
// Source: Heckbert (1989), Fundamentals of texture mapping and image warping, section 2.2.3.
func planeOf(q [4]Point) plane {
	sx := q[0].X - q[1].X + q[2].X - q[3].X
	sy := q[0].Y - q[1].Y + q[2].Y - q[3].Y
	dx1, dy1 := q[1].X-q[2].X, q[1].Y-q[2].Y
	dx2, dy2 := q[3].X-q[2].X, q[3].Y-q[2].Y
	det := dx1*dy2 - dx2*dy1
	g := (sx*dy2 - dx2*sy) / det
	h := (dx1*sy - sx*dy1) / det
	return plane{
		a: q[1].X - q[0].X + g*q[1].X, b: q[3].X - q[0].X + h*q[3].X, c: q[0].X,
		d: q[1].Y - q[0].Y + g*q[1].Y, e: q[3].Y - q[0].Y + h*q[3].Y, f: q[0].Y,
		g: g, h: h,
	}
}

// point is the place on the photo of (u, v) on the rectangle.
func (m plane) point(u, v float64) Point {
	w := m.g*u + m.h*v + 1
	return Point{(m.a*u + m.b*v + m.c) / w, (m.d*u + m.e*v + m.f) / w}
}

// shortestSide is the length of the shortest edge of a patch anywhere on the chart.
func shortestSide(q [4]Point) float64 {
	shortest := math.Inf(1)
	for i, parts := range []float64{chartColumns, chartRows, chartColumns, chartRows} {
		next := q[(i+1)%4]
		shortest = min(shortest, math.Hypot(next.X-q[i].X, next.Y-q[i].Y)/parts)
	}
	return shortest
}
