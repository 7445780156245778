package camera

import (
	"math"
	"slices"

	"huewright/colour"
)

// Lights tell that more than one light falls on a chart, or one that changes along it: what the residuals of the fit show by position that
// neither its model nor colours rendered alike explain.
type Lights struct {
	Second []bool       // for each sample, whether it lies in a second light; nil where the light changes evenly along the chart
	Log    [][3]float64 // for each sample, the natural logarithm of the light on it over that of the first light, or of the chart's middle
	// Change of luminance and of red over blue, as natural logarithms: of the second light over the first, or from one end of the chart to
	// the other where it changes most.
	Change, Hue float64
	better      float64 // natural logarithm of the Bayes factor against one light
}

// What lights over a chart are expected to be like, and when they are told. All are our own choice, on 61 charts in real photos and on
// the same under drawn shadows.
const (
	stepSD      = 0.7  // standard deviation of the logarithm of a second light over the first
	stepHueSD   = 0.12 // of the same, channel by channel
	rampSD      = 0.5  // of the logarithm of light over a chart's width
	rampHueSD   = 0.25 // of the same, channel by channel
	leastBetter = 3.0  // of the Bayes factor's logarithm: as if one photo in twenty had a second light
	leastChange = 0.22 // of the logarithm of luminance: a quarter more light
	leastRamp   = 0.40 // of the same, from end to end; charts in good light have 0.3
	leastHue    = 0.35 // of the logarithm of red over blue
	stepAngles  = 24   // ways that an edge may run
	leastInStep = 3    // samples on either side of it
	edgeReach   = 0.6  // patches from the middle of one, at most, that an edge runs through
	// likelierByDoubt is how much likelier an edge is for each sample in doubt that it runs through, as a natural logarithm.
	likelierByDoubt = 2.5
	lightRounds     = 3 // of finding how much light there is, as the model is not linear
)

// FindLights looks for the straight edge of a second light over the samples of a chart, be it a shadow's or a lamp's, and for light that
// changes evenly along it. It is not ok where the samples lie in one light, or are too few to tell. Samples in doubt do not count, but an
// edge is likelier that runs through them.
func FindLights(samples []Sample) (l Lights, ok bool) {
	t, ok := newPositionTest(samples)
	if !ok {
		return Lights{}, false
	}
	edges := edgesOver(samples)
	best, better := lightHypothesis{}, math.Inf(-1)
	for _, edge := range edges {
		if got := t.inStep(&edge); got+edge.likelier > better {
			best, better = edge, got+edge.likelier
		}
	}
	ramp := rampOver()
	rampBetter, _ := t.hold(&ramp)
	better -= math.Log(float64(max(len(edges), 1)))
	if max(better, rampBetter) < leastBetter {
		return Lights{}, false
	}
	var step, even Lights
	isStep, isRamp := better >= leastBetter, rampBetter >= leastBetter
	if isStep {
		step = best.settle(t, samples, better)
		isStep = math.Abs(step.Change) >= leastChange || math.Abs(step.Hue) >= leastHue
	}
	if isRamp {
		even = ramp.settle(t, samples, rampBetter)
		isRamp = math.Abs(even.Change) >= leastRamp || math.Abs(even.Hue) >= leastHue
	}
	if isStep && (!isRamp || better >= rampBetter) {
		return step, true
	}
	return even, isRamp
}

// Relit are the samples as the first light would have shown them.
func (l *Lights) Relit(samples []Sample) []Sample {
	relit := slices.Clone(samples)
	for i, log := range l.Log {
		c := &relit[i].Camera
		*c = colour.LinearRGB{R: c.R * math.Exp(-log[0]), G: c.G * math.Exp(-log[1]), B: c.B * math.Exp(-log[2])}
	}
	return relit
}

// mostUnknowns that a lightHypothesis has.
const mostUnknowns = 6

// A lightHypothesis is a way in which light may change over a chart, linear in unknown logarithms, three of which are those of red, green
// and blue.
type lightHypothesis struct {
	columns   int // unknowns: column 0, 3, … is of red, 1, 4, … of green, 2, 5, … of blue
	sd, hueSD float64
	second    []bool // for each sample, whether it lies beyond an edge; nil without one
	likelier  float64
	at        func(sample int, p Position, column int) float64
}

// rampOver is light that changes evenly along and across the chart.
func rampOver() lightHypothesis {
	return lightHypothesis{columns: 6, sd: rampSD, hueSD: rampHueSD, at: func(_ int, p Position, column int) float64 {
		if column < 3 {
			return p.X
		}
		return p.Y
	}}
}

// edgesOver are the ways in which a straight edge divides the samples of a chart, each once; the second light falls on the fewer.
func edgesOver(samples []Sample) (all []lightHypothesis) {
	known := map[string]int{}
	for k := range 2 * stepAngles {
		sin, cos := math.Sincos(math.Pi * (float64(k) + 0.25) / stepAngles)
		along := make([]float64, len(samples))
		for i, s := range samples {
			along[i] = 6*s.At.X*cos + 4*s.At.Y*sin
		}
		for _, after := range along {
			second, n, key, edge := make([]bool, len(samples)), 0, make([]byte, len(samples)), math.Inf(1)
			for i, at := range along {
				if at > after {
					second[i], key[i], edge = true, 1, min(edge, at)
					n++
				}
			}
			if n < leastInStep || 2*n > len(samples) {
				continue
			}
			likelier := throughDoubt(samples, along, (after+edge)/2)
			if i, again := known[string(key)]; again {
				all[i].likelier = max(all[i].likelier, likelier)
				continue
			}
			known[string(key)] = len(all)
			all = append(all, lightHypothesis{columns: 3, sd: stepSD, hueSD: stepHueSD, second: second, likelier: likelier,
				at: func(i int, _ Position, _ int) float64 {
					if second[i] {
						return 1
					}
					return 0
				}})
		}
	}
	return all
}

// throughDoubt is how much likelier an edge is for the samples in doubt that it runs through, as a natural logarithm.
func throughDoubt(samples []Sample, along []float64, edge float64) (log float64) {
	for i, s := range samples {
		if math.Abs(along[i]-edge) < edgeReach && !s.Doubt.Empty() {
			log += likelierByDoubt
		}
	}
	return log
}

// settle finds how much light there is under a hypothesis, in rounds; t is the test of the samples as they are.
func (h *lightHypothesis) settle(t *positionTest, samples []Sample, better float64) Lights {
	l := Lights{Second: h.second, Log: make([][3]float64, len(samples)), better: better}
	sum := make([]float64, h.columns)
	for round := range lightRounds {
		if round > 0 {
			var ok bool
			if t, ok = newPositionTest(l.Relit(samples)); !ok {
				break
			}
		}
		_, more := t.hold(h)
		for c, v := range more {
			sum[c] += v
		}
		for i, s := range samples {
			l.Log[i] = [3]float64{}
			for c, v := range sum {
				l.Log[i][c%3] += v * h.at(i, s.At, c)
			}
		}
	}
	weight := [3]float64{}
	for k, c := range [3]colour.LinearRGB{{R: 1}, {G: 1}, {B: 1}} {
		weight[k] = c.Luminance()
	}
	axes := make([][2]float64, h.columns/3) // change and hue along each
	for c, v := range sum {
		axes[c/3][0] += weight[c%3] * v
		axes[c/3][1] += [3]float64{1, 0, -1}[c%3] * v
	}
	if len(axes) == 1 {
		l.Change, l.Hue = axes[0][0], axes[0][1]
		return l
	}
	l.Change, l.Hue = math.Hypot(axes[0][0], axes[1][0]), math.Hypot(axes[0][1], axes[1][1])
	return l
}
