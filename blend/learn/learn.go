package learn

import (
	"context"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// Report says how well a coating is known.
type Report struct {
	residuals []residual // the chip first when there is one, then each test coat
	Warnings  []string

	at         point
	covariance *mat.SymDense // of the unknowns; nil where the evidence leaves none
}

// opaqueChip is what a chip is called among the residuals.
const opaqueChip = "opaque chip"

// HasChip reports whether an opaque chip was among the evidence.
func (r *Report) HasChip() bool {
	return len(r.residuals) > 0 && r.residuals[0].Of == opaqueChip
}

// A residual is how far one piece of evidence lies from what was learned.
type residual struct {
	Of        string // "opaque chip" or "test coat 2"
	Seen      colour.Lab
	Predicted colour.Lab
	DeltaE    float64 // CIEDE2000
	Expected  float64 // standard deviation it was given, CIELAB units
}

// Learn finds the films of one coat of a brushed coating from what is known of it: the most
// probable ones, given the evidence and what paints are like in general. Any evidence at all gives
// an answer; the report's warnings say how far to trust it. A Survey does the same for a whole
// shelf, and says what else may be.
//
// How closely a test coat is followed is set by what its two readings may be wrong by, by how
// unevenly the hand lays coats, and by what the spectrum of its ground may be; a chip, which is
// rarely laid like the coats nor quite opaque, by 0.9 CIELAB units more than its reading.
// Where Evidence.Shared tells how several photos agree, readings are followed as closely as the
// photos may be trusted against the one that most readings come from, and the coating is learned
// as that photo shows colours.
//
// It returns an *EvidenceError when there is no evidence or some of it is impossible.
func Learn(ctx context.Context, name string, kind blend.Kind, e Evidence) (*blend.Coating, Report, error) {
	s := Dataset{Shelf: []ShelfCoating{{Name: name, Kind: kind, Evidence: e}}, Shared: e.Shared}
	found, err := s.solve(ctx)
	if err != nil {
		return nil, Report{}, err
	}
	return &found.coatings[0], found.reports[0], nil
}

// check returns what is impossible about a coating, or nil.
func (k *ShelfCoating) check() error {
	switch {
	case !k.Kind.Known():
		return &EvidenceError{k.Name, fmt.Sprintf("%q is no kind of coating", k.Kind), "say one of " + strings.Join(blend.Kinds, ", ")}
	case k.PutOn != "" && !k.PutOn.Known():
		return &EvidenceError{k.Name, fmt.Sprintf("%q is no way to put a coating on", k.PutOn), "say one of " + strings.Join(blend.PutOns, ", ")}
	}
	return k.Evidence.check(k.Name)
}

// chipMisfit is the standard deviation, in each of L*, a*, b*, of what a chip shows otherwise
// than the coats foresee: it is rarely laid like them, nor quite opaque. Our own choice.
const chipMisfit = 0.87

// A shelved is a coating among what is found out together.
type shelved struct {
	known *ShelfCoating
	habit Bias
	seen  []observation
}

func newShelved(k *ShelfCoating, habit Bias, r *readings) *shelved {
	s := &shelved{known: k, habit: habit}
	if chip := k.Evidence.Chip; chip != nil {
		s.seen = append(s.seen, observation{seen: chip.Lab, opaque: true, reading: r.of(*chip), under: -1, misfit: chipMisfit})
	}
	for i := range k.Evidence.Tests {
		t := &k.Evidence.Tests[i]
		under := r.of(t.Ground)
		s.seen = append(s.seen, observation{
			seen: t.Result.Lab, ground: r.ground[under].Mean, reading: r.of(t.Result), under: under,
			layered: layered{coats: t.Coats, share: t.thickness() / t.Coats, on: t.Surface, wiped: k.PutOn == blend.Wiped, piece: t.OnPiece},
			hand:    t.unevenness(k.PutOn), misfit: earlier[t.From].misfit,
		})
	}
	return s
}

func (s *shelved) size() int             { return unknowns }
func (s *shelved) sights() []observation { return s.seen }
func (s *shelved) prior() linear         { return priorOf(s.known.Kind).linear(s.habit) }

func (s *shelved) starts() (all [][]float64) {
	for _, k := range []float64{0.05, 0.2, 0.6} {
		for _, scatter := range []float64{0.02, 0.1, 0.4} {
			var p point
			for i := range knots {
				p[i], p[knots+i] = math.Log(k), math.Log(scatter)
			}
			p[atUptake], p[atPorous], p[atCarry] = meanUptake, meanPorous, meanCarry
			all = append(all, p[:])
		}
	}
	return all
}

func (s *shelved) predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64 {
	p := point(at)
	lab, by := s.seen[i].predict(&p)
	for c := range by {
		copy(slopes[c][from:], by[c][:])
	}
	return [3]float64{lab.L, lab.A, lab.B}
}

func (s *shelved) leaning(i int, at []float64) (l sensitivity) {
	v, p := &s.seen[i], point(at)
	thickness, _, _, _ := p.thicknessSlopes(&v.layered)
	var after spectra.Spectrum
	var byGround, byFilm [spectra.Bands]float64
	for band, f := range p.films() {
		r, byK, byS := f.OverSlopes(v.ground[band], thickness)
		after[band], byFilm[band] = r, byK+byS
		byGround[band] = f.ByGround(v.ground[band], thickness)
	}
	by := spectra.BandJacobian(&after)
	for c := range by {
		for band, slope := range by[c] {
			l.ground[c][band] = slope * byGround[band]
			l.film[c] += slope * byFilm[band]
		}
	}
	return l
}

// predict returns the colour that p foresees, and how it changes with each unknown.
func (v *observation) predict(p *point) (colour.Lab, *[3]point) {
	var (
		xyz    [3]float64
		slopes [3]point   // of X, Y, Z, then of L*, a*, b*
		film   [3]float64 // with the logarithm of the film that was laid
	)
	thickness, byUptake, byPorous, byCarry := 0.0, 0.0, 0.0, 0.0
	if !v.opaque {
		thickness, byUptake, byPorous, byCarry = p.thicknessSlopes(&v.layered)
	}
	for i, f := range p.films() {
		var r, byK, byS float64
		if v.opaque {
			r, byK = f.LimitSlopes()
			byS = -byK
		} else {
			r, byK, byS = f.OverSlopes(v.ground[i], thickness)
		}
		at, w := places[i], &spectra.DaylightWeights[i]
		left, right := at.left, at.left+1
		kl, kr := byK*(1-at.toRight), byK*at.toRight
		sl, sr := byS*(1-at.toRight), byS*at.toRight
		for c := range 3 {
			xyz[c] += w[c] * r
			slopes[c][left] += w[c] * kl
			slopes[c][right] += w[c] * kr
			slopes[c][knots+left] += w[c] * sl
			slopes[c][knots+right] += w[c] * sr
			film[c] += w[c] * (byK + byS)
		}
	}
	for c := range 3 {
		slopes[c][atUptake], slopes[c][atPorous], slopes[c][atCarry] = film[c]*byUptake, film[c]*byPorous, film[c]*byCarry
	}
	if v.piece {
		for c := range 3 {
			slopes[c][atBoard] = film[c]
		}
	}
	c := colour.XYZ{X: xyz[0], Y: xyz[1], Z: xyz[2]}
	lab, m := c.LabJacobian()
	for j := range unknowns {
		x, y, z := slopes[0][j], slopes[1][j], slopes[2][j]
		for c := range 3 {
			slopes[c][j] = m[c][0]*x + m[c][1]*y + m[c][2]*z
		}
	}
	return lab, &slopes
}

func (e *Evidence) residual(i int, v *observation, predicted colour.Lab, spread float64) residual {
	of := i + 1
	if e.Chip != nil {
		of--
	}
	name := fmt.Sprintf("test coat %d", of)
	if v.opaque {
		name = opaqueChip
	}
	return residual{name, v.seen, predicted, colour.DeltaE2000(v.seen, predicted), spread}
}

// PlusMinus returns the 95 % radius, in ΔE00, of what the coating is foreseen to make of a
// ground, sealed: how far its colour after coats may be off because too little is known of the
// coating. The hand and the readings to come are not in it. It is a Laplace approximation, and wide rather
// than narrow: with evidence that agrees, measured paints stay within it in 92 to 97 of 100
// cases, see TestPlusMinusCovers. Evidence that contradicts itself widens it by as much as the
// worst of it is missed: what was never seen is not foreseen better than what was.
func (r *Report) PlusMinus(ground colour.Lab, coats float64) float64 {
	v := observation{ground: spectra.PriorSpectrum(ground), layered: layered{coats: coats, share: 1}}
	return math.Hypot(r.radius(&v), r.discord())
}

// radius is the 95 % radius in ΔE00 of what v foresees.
func (r *Report) radius(v *observation) float64 {
	if r.covariance == nil {
		return math.NaN()
	}
	lab, slopes := v.predict(&r.at)
	var covariance [3][3]float64
	for i := range slopes {
		var carried mat.VecDense
		carried.MulVec(r.covariance, mat.NewVecDense(unknowns, slopes[i][:]))
		for k := range slopes {
			covariance[i][k] = mat.Dot(&carried, mat.NewVecDense(unknowns, slopes[k][:]))
		}
	}
	return colour.Radius95(lab, covariance)
}
