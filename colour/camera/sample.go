package camera

import (
	"cmp"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/internal/fault"
)

// A Sample is a surface of known colour as a camera recorded it.
type Sample struct {
	Name   string
	Camera colour.LinearRGB // averaged in linear light
	Want   colour.Lab
	SD     float64    // of its own deviation from Want, in L*, a*, b* of a grey; default 1.5, of a card in a raw photo 0.5
	At     Position   // on the chart; zero for anything that is not part of one
	Skip   fault.Note // why it must not be used; empty means use it
	Doubt  fault.Note // why it takes no part in the fit though its error counts; empty means it does
}

// leastOfChart is how many samples are fitted as a chart: fewer do not show a pattern in their residuals.
const leastOfChart = 12

// residualSD is the error in each of L*, a*, b* that a patch keeps under the best of
// models: print tolerance, fading, gloss.
const residualSD = 1.5

// rawSD is the same for a card or paper in a raw photo, which no camera rendered: the one by which the stated radius holds as often as it
// says. In daylight it holds for woods by a slip in 94, 95, 99 and 100 of 100 cases of TestRawSensors with 0.25, 0.5, 1 and 1.5; by all of
// them woods are read alike.
const rawSD = 0.5

// withDefaults are samples that all say how far they deviate where that depends on how the photo was taken.
func withDefaults(light sensor.Light, samples []Sample) []Sample {
	if light == sensor.Rendered || len(samples) >= leastOfChart {
		return samples
	}
	samples = slices.Clone(samples)
	for i := range samples {
		samples[i].SD = cmp.Or(samples[i].SD, rawSD)
	}
	return samples
}

// weight is one over the standard deviation of the sample's error.
func (s *Sample) weight() float64 { return 1 / (cmp.Or(s.SD, residualSD) * discount(s.Want)) }

// discount is how many times further off a colour may be than a grey: more in strong colours, where a step of Lab
// is less to the eye and a phone is least to be trusted.
func discount(c colour.Lab) float64 { return math.Pow(1+0.045*math.Hypot(c.A, c.B), 0.7) }

// notSkipped are the samples that may be used, those in doubt among them.
func notSkipped(samples []Sample) (usable []Sample) {
	for _, s := range samples {
		if s.Skip.Empty() {
			usable = append(usable, s)
		}
	}
	return usable
}

// isFinite reports whether light is neither NaN nor infinite.
func isFinite(c colour.LinearRGB) bool {
	sum := c.R + c.G + c.B
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
