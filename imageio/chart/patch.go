package chart

import (
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/imageio/sample"
	"huewright/internal/stat"
)

const (
	chartColumns, chartRows = 6, 4
	chartPatches            = chartColumns * chartRows

	// patchCore is the share of a patch, along each side, that is read: its middle, clear of the border even
	// where the corners are a little off.
	patchCore = 0.5
	// coreSide is how many points are read along each side of a core.
	coreSide = 20
	// sectionSide is how many sections a core is divided into along each side.
	sectionSide = 3
	// darkPatch is a luminance added to both ends of a change: in the dark noise is as large as what is seen.
	darkPatch = 0.02
)

// A core is the middle of one patch.
type core struct {
	mean    colour.LinearRGB
	clipped float64 // share of its points

	sections [sectionSide * sectionSide]float64 // mean luminance of each
}

// readCore reads the patch of a column and a row; the face maps the unit square to the patch field.
func readCore(p *imageio.Photo, face *plane.Homography, column, row int) core {
	var channels [3][coreSide * coreSide]float64
	clipped := 0
	var sections, counts [sectionSide * sectionSide]float64
	for i := range coreSide * coreSide {
		across := (float64(i%coreSide)+0.5)/coreSide - 0.5
		down := (float64(i/coreSide)+0.5)/coreSide - 0.5
		at := face.Point((float64(column)+0.5+patchCore*across)/chartColumns, (float64(row)+0.5+patchCore*down)/chartRows)
		x := min(max(int(at.X), 0), p.Width-1)
		y := min(max(int(at.Y), 0), p.Height-1)
		c, near := p.LinearClipped(x, y)
		channels[0][i], channels[1][i], channels[2][i] = c.R, c.G, c.B
		if near {
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

// innerMean is the trimmed mean between the lowest and the highest tenth: specks and scratches are left out.
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

// change is how much luminance differs between the sections of a core, as a share. Specks and noise even out in
// a section; glare, a shadow's edge or a smear do not.
func (c *core) change() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range c.sections {
		low, high = min(low, v), max(high, v)
	}
	return (high - low) / (high + darkPatch)
}

// section is the number of the section that a point of the core belongs to.
func section(i int) int {
	return (i/coreSide*sectionSide/coreSide)*sectionSide + i%coreSide*sectionSide/coreSide
}
