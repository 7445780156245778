package learn

import (
	"math"

	"huewright/blend"
)

// A prior says what to expect of any coating before there is evidence: how much it absorbs and
// scatters in the mean over the knots, and how far either may change from knot to knot. All are
// in natural logarithms.
type prior struct {
	meanK, meanKSD, stepK float64
	meanS, meanSSD, stepS float64
	fallS                 float64 // what scattering is expected to change from knot to knot
}

// priorOf returns what to expect of a kind. One coat of a wash takes about a tenth of the light;
// the figures are wide: their 95 % spans a factor of 50 either way in absorption. From knot to
// knot a paint changes little, but for an edge or two where it changes much, which Student's t
// has room for. Scattering falls about as the wavelength rises, as fine particles have it. A dye
// is dissolved and clear, so it is expected to scatter twenty times less. Our own choice, made on
// half of the measured paints and tried on the other, see TestMeasuredPaints; to be replaced by
// what a log shows.
func priorOf(kind blend.Kind) *prior {
	p := &prior{
		meanK: math.Log(0.08), meanKSD: 2.0, stepK: 0.5,
		meanS: math.Log(0.08), meanSSD: 1.5, stepS: 0.3,
		fallS: -0.06,
	}
	if kind == "dye" {
		p.meanS = math.Log(0.004)
	}
	return p
}

// How coats build up, before there is evidence, in logarithms. A porous wood takes 1.15 to 1.3
// times the stain of another (common practice, no source), and putty goes darker still. What a
// wiped coat leaves over the one before has no figure at all: nearly anything, half in the middle.
var (
	meanUptake, uptakeSD = math.Log(1.25), 0.3
	meanPorous, porousSD = math.Log(1.3), 0.3
)

const meanCarry, carrySD = 0.0, 1.2 // of the logit: 95 % within 0.09–0.91

// linear are the prior's terms, for coats laid by a hand of some habit.
func (pr *prior) linear(h Bias) (l linear) {
	half := func(from int, mean, meanSD, fall, step float64) {
		row := make([]float64, unknowns)
		for i := from; i < from+knots; i++ {
			row[i] = 1 / (knots * meanSD)
		}
		l.add(mean/meanSD, row)
		for i := from; i < from+knots-1; i++ {
			row := make([]float64, unknowns)
			row[i], row[i+1] = -1/step, 1/step
			l.addHeavy(fall/step, row)
		}
	}
	half(0, pr.meanK, pr.meanKSD, 0, pr.stepK)
	half(knots, pr.meanS, pr.meanSSD, pr.fallS, pr.stepS)
	one := func(at int, mean, sd float64) {
		row := make([]float64, unknowns)
		row[at] = 1 / sd
		l.add(mean/sd, row)
	}
	one(atUptake, meanUptake, uptakeSD)
	one(atPorous, meanPorous, porousSD)
	one(atCarry, meanCarry, carrySD)
	one(atBoard, h.Film, unevenBoard)
	return l
}
