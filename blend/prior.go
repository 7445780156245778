package blend

import "math"

// A prior says what to expect of any coating before there is evidence: how much it absorbs and
// scatters in the mean over the knots, and how far either may change from knot to knot. All are
// in natural logarithms.
type prior struct {
	meanK, meanKSD, stepK float64
	meanS, meanSSD, stepS float64
}

// priorOf returns what to expect of a kind. The figures are wide: their 95 % spans more than a
// factor of 50 either way in absorption. A dye is dissolved and clear, so it is expected to
// scatter twenty times less. Our own starting values, to be replaced by what a log shows.
func priorOf(kind Kind) *prior {
	p := &prior{
		meanK: math.Log(0.2), meanKSD: 2.0, stepK: 1.2,
		meanS: math.Log(0.1), meanSSD: 1.5, stepS: 0.6,
	}
	if kind == "dye" {
		p.meanS = math.Log(0.005)
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

// linear are the prior's terms.
func (pr *prior) linear() (l linear) {
	half := func(from int, mean, meanSD, step float64) {
		row := make([]float64, unknowns)
		for i := from; i < from+knots; i++ {
			row[i] = 1 / (knots * meanSD)
		}
		l.add(mean/meanSD, row)
		for i := from; i < from+knots-1; i++ {
			row := make([]float64, unknowns)
			row[i], row[i+1] = -1/step, 1/step
			l.add(0, row)
		}
	}
	half(0, pr.meanK, pr.meanKSD, pr.stepK)
	half(knots, pr.meanS, pr.meanSSD, pr.stepS)
	one := func(at int, mean, sd float64) {
		row := make([]float64, unknowns)
		row[at] = 1 / sd
		l.add(mean/sd, row)
	}
	one(atUptake, meanUptake, uptakeSD)
	one(atPorous, meanPorous, porousSD)
	one(atCarry, meanCarry, carrySD)
	return l
}
