package learn

import (
	"math"

	"huewright/blend"
)

// A prior is the prior distribution of a coating's films: the mean over the knots of log K and log S, and how far
// either changes from knot to knot.
type prior struct {
	meanK, meanKSD, stepK float64
	meanS, meanSSD, stepS float64
	slopeS                float64 // mean change of log S from knot to knot
	uptake, uptakeSD      float64 // of log uptake
}

// priorOf returns the prior of a kind of coating of which the paint has that share by volume; 0 is not known. One coat of a wash takes
// about a tenth of the light; the prior is wide: its 95 % spans a factor of 50 either way in absorption. From knot to knot a paint changes
// little, but for an edge or two where it changes much, which Student's t has room for. Scattering falls with wavelength, as that of fine
// particles does. A dye is dissolved, so that it scatters twenty times less. Stains and dyes soak into bare wood: a porous wood
// takes 1.15 to 1.3 times as much as another (common practice, no source). The pigment of other coatings stays on it, whose
// first coat is thicker by what the wood drinks of their water: 0.9 to 1.4 times. Our own choice, made on half of the
// measured paints and tried on the other half, see TestMeasuredPaints.
//
// Where the share is known a coat is that share of an undiluted one, of which 26 even-numbered paints tell that can be inverted at
// half of the wavelengths or more, laid to hide: log K −0.4 and log S −0.2 on average over wavelengths, and the logarithm of S falls
// by 0.34 of what that of K/S rises by, ±0.93. A brush lays other films than a drawdown: ±0.3 more. That makes the standard
// deviations below; TestTinAlone tries them on the other paints. Paint of which nothing is said is not thinned. Toners, stains
// and dyes are thinned from something else than paint.
func priorOf(kind blend.Kind, share float64) *prior {
	p := &prior{
		meanK: math.Log(0.08), meanKSD: 2.0, stepK: 0.5,
		meanS: math.Log(0.08), meanSSD: 1.5, stepS: 0.3,
		slopeS: -0.06,
		uptake: math.Log(1.12), uptakeSD: 0.12,
	}
	if kind == "paint" && share == 0 {
		share = 1
	}
	if share > 0 && (kind == "paint" || kind == "wash" || kind == "glaze") {
		p.meanK, p.meanKSD = -0.4+math.Log(share), 1.67
		p.meanS, p.meanSSD = -0.2+math.Log(share), 1.21
	}
	if kind == "dye" {
		p.meanS = math.Log(0.004)
	}
	if kind == "dye" || kind == "stain" {
		p.uptake, p.uptakeSD = math.Log(1.25), 0.3
	}
	return p
}

// meanPorous is the mean of the logarithm of the uptake of putty over that of bare wood. Common practice, no source.
var meanPorous, porousSD = math.Log(1.3), 0.3

// The carry of a wiped coating has no figure at all, so that its prior is nearly flat.
const meanCarry, carrySD = 0.0, 1.2 // of the logit: 95 % within 0.09–0.91

// The surface of coats and the wetting of bare wood are normal deviates, see shareOf: a surface may be anything from matt to
// smooth, with matt likelier for what is thinned so far; bare wood may be wetted to any degree. Our own choice, made on the
// same half of the measured paints: with a mean of −0.5 or 0 a chip and one coat on a pale wood find 63 or fewer counts in 100,
// with this 66: see TestMeasuredPaints, and TestFilmsOfAnotherMaking for coats that have a surface.
const (
	meanSurface, surfaceSD         = -1.0, 1.4
	meanBareWetting, bareWettingSD = 0.0, 1.0
)

// linear returns the prior of the unknowns of a coating, for an operator bias and the standard deviation of the logarithm of the
// film on the piece over that of the test boards.
func (pr *prior) linear(b Bias, pieceSD float64) (l linearPrior) {
	logs := func(from int, mean, meanSD, change, step float64) {
		row := make([]float64, unknowns)
		for i := from; i < from+knots; i++ {
			row[i] = 1 / (knots * meanSD)
		}
		l.add(mean/meanSD, row)
		for i := from; i < from+knots-1; i++ {
			row := make([]float64, unknowns)
			row[i], row[i+1] = -1/step, 1/step
			l.addStudent(change/step, row)
		}
	}
	logs(0, pr.meanK, pr.meanKSD, 0, pr.stepK)
	logs(knots, pr.meanS, pr.meanSSD, pr.slopeS, pr.stepS)
	one := func(at int, mean, sd float64) {
		row := make([]float64, unknowns)
		row[at] = 1 / sd
		l.add(mean/sd, row)
	}
	one(atUptake, pr.uptake, pr.uptakeSD)
	one(atPorous, meanPorous, porousSD)
	one(atCarry, meanCarry, carrySD)
	one(atBoard, b.Film, pieceSD)
	one(atSurface, meanSurface, surfaceSD)
	one(atBareWetting, meanBareWetting, bareWettingSD)
	return l
}

// A linearPrior has terms, each of them independent: a row times the unknowns, whose mean is want and whose standard
// deviation is 1.
type linearPrior struct {
	rows    [][]float64
	want    []float64
	student []bool // has Student's t distribution; else normal
}

func (l *linearPrior) add(want float64, row []float64) {
	l.rows, l.want, l.student = append(l.rows, row), append(l.want, want), append(l.student, false)
}

func (l *linearPrior) addStudent(want float64, row []float64) {
	l.add(want, row)
	l.student[len(l.student)-1] = true
}

const studentDegrees = 3.0

// studentLoss returns the normal residual as improbable as r is in Student's t with studentDegrees degrees of freedom,
// and its derivative.
func studentLoss(r float64) (residual, slope float64) {
	const nu = studentDegrees
	size := math.Sqrt((nu + 1) * math.Log1p(r*r/nu))
	if size < 1e-6 {
		slope = math.Sqrt((nu + 1) / nu)
		return slope * r, slope
	}
	return math.Copysign(size, r), (nu + 1) * math.Abs(r) / ((nu + r*r) * size)
}
