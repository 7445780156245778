// Package chart finds the 24-patch colour chart (four rows of six) in a photo, judges whether it can be used,
// reads its patches and fits the photo's correction to them; a chart also gives the scale of its plane.
//
// [Find] gives the corners of a chart, [Fit] takes corners, found or given by hand: the outer corners of the
// patch field, beginning at the dark-brown patch, along its row of six to the bluish-green one, then round.
// Patches are numbered in that order, row by row. Lengths are in pixels of the photo, colours of patches in
// linear light; misfits are ΔE00.
//
// Read find.go first: it searches downsampled pictures ([huewright/imageio/internal/blob]) for lattices of
// blobs; candidates.go lays charts over a lattice, edges.go moves them along their patches' edges, judge.go
// says which fits and what is wrong with it (finding.go, error.go). fit.go then fits the correction: corners.go
// checks the corners, chart.go and patch.go read, clean.go leaves bad patches out. scale.go and overlay.go
// stand apart.
package chart

import (
	"context"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/colour/sensor"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/fault"
	"huewright/internal/parallel"
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
	Warnings []fault.Note
	change   [chartPatches]float64 // of luminance over each patch, as a share
	light    sensor.Light          // of a raw photo
}

// White is the lightest grey patch that the fit uses, as recorded and as it is.
func (c *Chart) White() (seen colour.LinearRGB, is colour.Lab) {
	for _, s := range c.Samples[firstGrey:] {
		if s.Skip.Empty() && s.Doubt.Empty() {
			return s.Camera, s.Want
		}
	}
	return c.Samples[firstGrey].Camera, c.Samples[firstGrey].Want
}

const (
	// mostClipped is the share of a core's points that may be near-clipped.
	mostClipped = 0.02
	// mostChange of luminance between the sections of a core, as a share, is still even. Our own choice: the
	// middles of clean patches, photographed by phones, change by 0.02–0.08, one of 500 by 0.17.
	mostChange = 0.25
	// perhapsGlare is from what change of luminance on a patch may be glare's. Our own choice.
	perhapsGlare = 0.14
)

func readPatches(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point, opt Options) (*Chart, error) {
	face := plane.FromCorners(corners)
	var cores [chartPatches]core
	if err := parallel.Ranges(ctx, chartPatches, chartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			cores[i] = readCore(p, &face, i%chartColumns, i/chartColumns)
		}
	}); err != nil {
		return nil, err
	}
	chart := chartOf(cores, opt)
	chart.light = p.Light()
	return chart, nil
}

// chartOf pairs 24 cores with the published values and marks those that cannot be used: near-clipped ones are
// skipped, uneven ones doubted.
func chartOf(cores [chartPatches]core, opt Options) *Chart {
	chart := &Chart{}
	for i, patch := range opt.patches() {
		column, row := i%chartColumns, i/chartColumns
		core := &cores[i]
		chart.change[i] = core.change()
		s := camera.Sample{
			Name: patch.Name, Camera: core.mean, Want: patch.Lab,
			At: camera.Position{X: (float64(column)+0.5)/chartColumns - 0.5, Y: (float64(row)+0.5)/chartRows - 0.5},
		}
		switch {
		case core.clipped > mostClipped:
			s.Skip = fault.Say("patch.clipped", "share", core.clipped)
		case core.change() > mostChange:
			s.Doubt = fault.Say("patch.uneven", "change", core.change())
		}
		chart.Samples = append(chart.Samples, s)
	}
	return chart
}

// leaveOut warns of a patch that the fit does without.
func (c *Chart) leaveOut(patch string, why fault.Note) {
	c.Warnings = append(c.Warnings, fault.Say("patch.left-out", "patch", patch, "why", why))
}
