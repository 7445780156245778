package learn

import (
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A coatingComponent is the model of a coating: its film in each band, how its coats build up, and what single woods do with it.
type coatingComponent struct {
	coating *ShelfCoating
	bias    Bias
	woods   []string // that absorb and have tests, by name
	seen    []observation
}

func newCoatingComponent(shelf *ShelfCoating, bias Bias, r *readings) *coatingComponent {
	c := &coatingComponent{coating: shelf, bias: bias, woods: shelf.Evidence.woods()}
	if chip := shelf.Evidence.Chip; chip != nil {
		c.seen = append(c.seen, observation{seen: chip.Lab, opaque: true, reading: r.indexOf(*chip), substrate: -1, misfit: chipMisfit})
	}
	boards := shelf.Evidence.boards()
	for i := range shelf.Evidence.Tests {
		t := &shelf.Evidence.Tests[i]
		substrate := r.indexOf(t.Ground)
		c.seen = append(c.seen, observation{
			seen: t.Result.Lab, ground: r.priors[substrate].Mean, reading: r.indexOf(t.Result), substrate: substrate,
			application: application{
				coats: t.Coats, share: t.thickness() / t.Coats, surface: t.Surface, wiped: shelf.PutOn == blend.Wiped, onPiece: t.OnPiece,
				wood: c.woodOf(t),
			},
			hand: t.handOf(shelf.PutOn, boards), misfit: earlierSD[t.From].misfit,
		})
	}
	return c
}

// earlierSD is how much less coats on an earlier piece tell than those on this one: further standard deviations of
// the logarithm of the film and, in each of L*, a*, b*, of the misfit. Common practice has no figures: these are
// starting values of our own.
var earlierSD = map[Provenance]struct{ film, misfit float64 }{
	OfSameBatch:    {boardSD, 0.7},
	OfAnotherBatch: {0.25, 1.2},
}

// chipMisfit is the misfit of an opaque chip: it is rarely laid like the coats, nor quite opaque. Our own choice.
const chipMisfit = 0.87

func (c *coatingComponent) size() int { return unknowns + unknownsPerWood*len(c.woods) }

func (c *coatingComponent) observations() []observation { return c.seen }

func (c *coatingComponent) prior() priorTerms {
	p := priorOf(c.coating.Kind, c.coating.Share)
	l := p.terms(c.bias, c.coating.Evidence.pieceSD())
	c.addWoods(&l, p)
	return l
}

func (c *coatingComponent) starts() (all [][]float64) {
	prior := priorOf(c.coating.Kind, c.coating.Share)
	strength := 1.0 // of the mean, over that of a wash
	if !prior.byStrength {
		strength = math.Exp(prior.meanK) / 0.08
	}
	for _, k := range []float64{0.05, 0.2, 0.6} {
		for _, scatter := range []float64{0.02, 0.1, 0.4} {
			var p point
			for i := range knots {
				p[i], p[knots+i] = math.Log(k*strength), math.Log(scatter*strength)
			}
			p[atUptake], p[atPorous], p[atCarry], p[atSurface] = prior.uptake, meanPorous, meanCarry, meanSurface
			all = append(all, append(p[:], make([]float64, unknownsPerWood*len(c.woods))...))
		}
	}
	return all
}

func (c *coatingComponent) predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64 {
	v := &c.seen[i]
	p := c.pointOn(v.wood, at)
	lab, by := v.predict(&p)
	for axis := range by {
		copy(slopes[axis][from:], by[axis][:])
		if v.wood > 0 {
			own := from + woodAt(v.wood)
			slopes[axis][own], slopes[axis][own+1] = by[axis][atUptake], by[axis][atBareWetting]
		}
	}
	return [3]float64{lab.L, lab.A, lab.B}
}

// predict returns the colour that p predicts, and the derivatives of L*, a*, b* by each unknown.
func (v *observation) predict(p *point) (colour.Lab, *[3]point) {
	var (
		xyz    [3]float64
		slopes [3]point   // of X, Y, Z, then of L*, a*, b*
		film   [3]float64 // by the logarithm of the film
	)
	thickness, byUptake, byPorous, byCarry := 0.0, 0.0, 0.0, 0.0
	if !v.opaque {
		thickness, byUptake, byPorous, byCarry = p.thicknessSlopes(&v.application)
	}
	surface, bySurface := shareOf(p[atSurface])
	wetting, byWetting := 0.0, 0.0
	if v.surface.Absorbs() {
		wetting, byWetting = shareOf(p[atBareWetting])
	}
	for i, f := range p.films() {
		var r, groundByWetting float64
		var by blend.Slopes
		if v.opaque {
			r, by = f.LimitSlopes(surface)
		} else {
			var ground float64
			ground, _, groundByWetting = blend.WettedSlopes(v.ground[i], wetting)
			r, by = f.OverSlopes(ground, thickness, surface)
		}
		at, w := knotPositions[i], &spectra.DaylightWeights[i]
		left, right := at.left, at.left+1
		kl, kr := by.ByLogK*(1-at.toRight), by.ByLogK*at.toRight
		sl, sr := by.ByLogS*(1-at.toRight), by.ByLogS*at.toRight
		for c := range 3 {
			xyz[c] += w[c] * r
			slopes[c][left] += w[c] * kl
			slopes[c][right] += w[c] * kr
			slopes[c][knots+left] += w[c] * sl
			slopes[c][knots+right] += w[c] * sr
			slopes[c][atSurface] += w[c] * by.BySurface * bySurface
			slopes[c][atBareWetting] += w[c] * by.ByGround * groundByWetting * byWetting
			film[c] += w[c] * (by.ByLogK + by.ByLogS)
		}
	}
	for c := range 3 {
		slopes[c][atUptake], slopes[c][atPorous], slopes[c][atCarry] = film[c]*byUptake, film[c]*byPorous, film[c]*byCarry
	}
	if v.onPiece {
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

func (c *coatingComponent) sensitivity(i int, at []float64) sensitivity {
	v := &c.seen[i]
	p := c.pointOn(v.wood, at)
	thickness, _, _, _ := p.thicknessSlopes(&v.application)
	surface, _ := shareOf(p[atSurface])
	wetting := 0.0
	if v.surface.Absorbs() {
		wetting, _ = shareOf(p[atBareWetting])
	}
	films := p.films()
	return v.sensitivity(&films, thickness, surface, wetting)
}

// sensitivity returns the sensitivity of what films of that thickness and surface make of the substrate, wetted so far.
func (v *observation) sensitivity(films *[spectra.Bands]blend.Film, thickness, surface, wetting float64) (l sensitivity) {
	var after spectra.Spectrum
	var byGround, byFilm [spectra.Bands]float64
	for band, f := range films {
		ground, byDry, _ := blend.WettedSlopes(v.ground[band], wetting)
		r, by := f.OverSlopes(ground, thickness, surface)
		after[band], byFilm[band], byGround[band] = r, by.ByLogK+by.ByLogS, by.ByGround*byDry
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
