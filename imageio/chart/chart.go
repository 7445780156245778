package chart

import (
	"context"
	"fmt"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/sample"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// Options says how a chart is read.
type Options struct {
	Edition camera.Edition         // of its published values; default since November 2014
	Values  *[24]camera.ChartPatch // measured on this very chart; default the published ones
}

func (o Options) patches() [24]camera.ChartPatch {
	if o.Values != nil {
		return *o.Values
	}
	return camera.Chart24(o.Edition)
}

// A Chart is what a photo shows of the 24-patch chart: four rows of six.
type Chart struct {
	Samples  []camera.Sample // patch by patch, from the dark brown to the black
	Warnings []string
}

const (
	chartPatches = blob.ChartColumns * blob.ChartRows

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

// Read reads the patches of a chart by the outer corners of its patch field: beginning
// at the dark-brown patch, along its row of six to the bluish-green one, then round. Patches
// that are near-clipped are marked to be skipped. Corners that cannot be meant are a
// *CornersError.
func Read(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*Chart, error) {
	if err := checkCorners(p, corners); err != nil {
		return nil, err
	}
	return readPatches(ctx, p, corners, opt)
}

func readPatches(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*Chart, error) {
	plane := blob.PlaneOf(corners)
	var cores [chartPatches]core
	if err := parallel.Ranges(ctx, chartPatches, blob.ChartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			cores[i] = readCore(p, plane, i%blob.ChartColumns, i/blob.ChartColumns)
		}
	}); err != nil {
		return nil, err
	}
	return chartOf(cores, opt), nil
}

// chartOf tells what 24 patches, read in the order of the published values, are good for.
func chartOf(cores [chartPatches]core, opt Options) *Chart {
	chart := &Chart{}
	for i, patch := range opt.patches() {
		column, row := i%blob.ChartColumns, i/blob.ChartColumns
		core := &cores[i]
		s := camera.Sample{
			Name:   patch.Name,
			Camera: core.mean,
			Want:   patch.Lab,
			At: camera.Position{
				X: (float64(column)+0.5)/blob.ChartColumns - 0.5,
				Y: (float64(row)+0.5)/blob.ChartRows - 0.5,
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

func readCore(p *imageio.Photo, plane blob.Plane, column, row int) core {
	var channels [3][coreSide * coreSide]float64
	clipped := 0
	var sections, counts [patchSectionSide * patchSectionSide]float64
	for i := range coreSide * coreSide {
		across := (float64(i%coreSide)+0.5)/coreSide - 0.5
		down := (float64(i/coreSide)+0.5)/coreSide - 0.5
		at := plane.Point((float64(column)+0.5+patchCore*across)/blob.ChartColumns, (float64(row)+0.5+patchCore*down)/blob.ChartRows)
		x := min(max(int(at.X), 0), p.Width-1)
		y := min(max(int(at.Y), 0), p.Height-1)
		c := p.Linear(x, y)
		channels[0][i], channels[1][i], channels[2][i] = c.R, c.G, c.B
		if p.Clipped(x, y) {
			clipped++
		}
		sections[section(i)] += c.Luminance()
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
	q := stat.Quantiles(values, sample.TrimmedShare, 1-sample.TrimmedShare)
	sum, n := 0.0, 0.0
	for _, v := range values {
		if v >= q[0] && v <= q[1] {
			sum += v
			n++
		}
	}
	return sum / n
}
