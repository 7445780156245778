package learn

import (
	"math"

	"huewright/blend"
)

// A prior is the prior distribution of a coating's films: how strong they are and what they do more of, absorb or scatter, in the mean over
// the knots, and how far either changes from knot to knot.
type prior struct {
	byStrength           bool    // strength and ratio are independent of one another, else log K and log S
	strength, strengthSD float64 // of log (K+S/4), mean over the knots
	ratio, ratioSD       float64 // of log K/S, mean over the knots
	meanK, meanKSD       float64 // of log K, mean over the knots
	meanS, meanSSD       float64 // of log S, mean over the knots
	stepK, stepS         float64
	slopeS               float64 // mean change of log S from knot to knot
	uptake, uptakeSD     float64 // of log uptake
}

// priorOf returns the prior of a kind of coating of which the paint has that share by volume; 0 is not known. From knot to knot a paint
// changes little, but for an edge or two where it changes much, which Student's t has room for. Scattering falls with wavelength, as that
// of fine particles does. A dye is dissolved, so that it scatters twenty times less. Stains and dyes soak into bare wood: a porous wood
// takes 1.15 to 1.3 times as much as another (common practice, no source). The pigment of other coatings stays on it, whose
// first coat is thicker by what the wood drinks of their water: 0.9 to 1.4 times. Our own choice, made on half of the
// measured paints and tried on the other half, see TestMeasuredPaints.
//
// Where the share is not known a coating is one that was thinned until a coat does what coats do. A coat turns a wood of reflectance R by
// S(1−R)²−2KR: on a pale wood, of R near ½, by K−S/4. One coat of a wash takes about a tenth of its light, which is K+S/4 near 0.08. Of 11
// even-numbered paints, thinned until a coat moves a pale wood by 7 ΔE00, log (K+S/4) is −2.6 ± 0.5, and −2.7 ± 0.7 where they have a
// surface, whatever K/S is. A coat may do half as much or twice, and a brush lays other films: ±1.0 in all. Stains and dyes are made to be
// used as they are, from faint to nearly black: ±1.5. See TestFilmsOfAnotherMaking.
//
// Where the share is known a coat is that share of an undiluted one, of which 26 even-numbered paints tell that can be inverted at
// half of the wavelengths or more, laid to hide: log K −0.4 and log S −0.2 on average over wavelengths, and the logarithm of S falls
// by 0.34 of what that of K/S rises by, ±0.93. A brush lays other films than a drawdown: ±0.3 more. That makes the standard
// deviations below; TestTinAlone tries them on the other paints. Paint of which nothing is said is not thinned. Toners, stains
// and dyes are thinned from something else than paint.
//
// Note: log K and log S independent of one another was tried where the share is not known, and left. A dark chip, of large K/S, then makes
// K large rather than S small, and its films are taken for too strong: ranges of counts from a chip held in 64 to 88 of 100.
func priorOf(kind blend.Kind, share float64) *prior {
	p := &prior{
		byStrength: true, strength: math.Log(0.08), strengthSD: 1.0, ratio: 0, ratioSD: 2.5,
		stepK: 0.5, stepS: 0.3, slopeS: -0.06,
		uptake: math.Log(1.12), uptakeSD: 0.12,
	}
	if kind == "paint" && share == 0 {
		share = 1
	}
	if share > 0 && (kind == "paint" || kind == "wash" || kind == "glaze") {
		p.byStrength = false
		p.meanK, p.meanKSD = -0.4+math.Log(share), 1.67
		p.meanS, p.meanSSD = -0.2+math.Log(share), 1.21
	}
	if kind == "dye" {
		p.ratio = math.Log(20)
	}
	if kind == "dye" || kind == "stain" {
		p.strengthSD = 1.5
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

// terms returns the prior of the unknowns of a coating, for an operator bias and the standard deviation of the logarithm of the
// film on the piece over that of the test boards.
func (pr *prior) terms(b Bias, pieceSD float64) (l priorTerms) {
	mean := func(kind termKind, want, sd, k, s float64) { // of k times what is at the knots of log K, and s times that at those of log S
		row := make([]float64, unknowns)
		for i := range knots {
			row[i], row[knots+i] = k/(knots*sd), s/(knots*sd)
		}
		l.addTerm(kind, want/sd, row)
	}
	if pr.byStrength {
		mean(ofStrength, pr.strength, pr.strengthSD, 1, 0)
		mean(ofNormal, pr.ratio, pr.ratioSD, 1, -1)
	} else {
		mean(ofNormal, pr.meanK, pr.meanKSD, 1, 0)
		mean(ofNormal, pr.meanS, pr.meanSSD, 0, 1)
	}
	steps := func(from int, change, step float64) {
		for i := from; i < from+knots-1; i++ {
			row := make([]float64, unknowns)
			row[i], row[i+1] = -1/step, 1/step
			l.addTerm(ofStudent, change/step, row)
		}
	}
	steps(0, 0, pr.stepK)
	steps(knots, pr.slopeS, pr.stepS)
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

// priorTerms are terms, each of them independent: a row times the unknowns, whose mean is want and whose standard
// deviation is 1; and terms of strength, which are linear in log (K+S/4).
type priorTerms struct {
	rows [][]float64
	want []float64
	kind []termKind
}

// A termKind is how a term is distributed.
type termKind int

const (
	ofNormal   termKind = iota
	ofStudent           // in Student's t distribution
	ofStrength          // normal, of the row times log (K+S/4) at each knot
)

func (l *priorTerms) add(want float64, row []float64) { l.addTerm(ofNormal, want, row) }

func (l *priorTerms) addTerm(kind termKind, want float64, row []float64) {
	l.rows, l.want, l.kind = append(l.rows, row), append(l.want, want), append(l.kind, kind)
}

// residual returns the residual of term i, in standard deviations, at the unknowns of its component, and writes its derivatives to slopes.
func (l *priorTerms) residual(i int, at, slopes []float64) float64 {
	row, residual := l.rows[i], -l.want[i]
	copy(slopes, row)
	if l.kind[i] == ofStrength {
		for k := range knots {
			sum, share := logSum(at[k], at[knots+k]-math.Ln2-math.Ln2)
			residual += row[k] * sum
			slopes[k], slopes[knots+k] = row[k]*share, row[k]*(1-share)
		}
		return residual
	}
	for k, v := range row {
		residual += v * at[k]
	}
	if l.kind[i] == ofStudent {
		var slope float64
		residual, slope = studentLoss(residual)
		for k := range row {
			slopes[k] *= slope
		}
	}
	return residual
}

// logSum returns log (eᵃ+eᵇ), and the share of a in it.
func logSum(a, b float64) (sum, share float64) {
	share = 1 / (1 + math.Exp(b-a))
	return max(a, b) + math.Log1p(math.Exp(-math.Abs(a-b))), share
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
