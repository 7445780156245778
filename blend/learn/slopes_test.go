package learn

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour/spectra"
)

// The whole chain from an unknown to a colour, by small steps again.
func TestPredictSlopes(t *testing.T) {
	var p point
	for i := range p {
		p[i] = -2 + 0.8*math.Sin(float64(3*i))
	}
	var dark spectra.Spectrum
	for i := range dark {
		dark[i] = 0.002
	}
	for _, v := range []observation{
		{opaque: true},
		{ground: spectra.Smoothest(blendtest.Ash), application: application{coats: 1, share: 1}},
		{ground: spectra.Smoothest(blendtest.Ash), application: application{coats: 2, share: 0.5, surface: blend.Bare, onPiece: true}},
		{ground: spectra.Smoothest(blendtest.Walnut), application: application{coats: 3.5, share: 1, surface: blend.Porous, wiped: true}},
		{ground: dark, application: application{coats: 0.01, share: 1}}, // on the straight part of the curve of L*
	} {
		_, slopes := v.predict(&p)
		for i := range p {
			const h = 1e-5
			up, down := p, p
			up[i] += h
			down[i] -= h
			more, _ := v.predict(&up)
			less, _ := v.predict(&down)
			require.InDelta(t, (more.L-less.L)/(2*h), slopes[0][i], 1e-6)
			require.InDelta(t, (more.A-less.A)/(2*h), slopes[1][i], 1e-6)
			require.InDelta(t, (more.B-less.B)/(2*h), slopes[2][i], 1e-6)
		}
	}
}

// The fit ends where no unknown alone lowers the cost.
func TestFitEndsAtTheBottom(t *testing.T) {
	s := Dataset{
		Shelf: []ShelfCoating{
			{Name: "wash", Kind: "wash", Evidence: Evidence{
				Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{testCoat(blendtest.RedWash, blendtest.Oak, 2)}}},
			{Name: "stain", Kind: "stain", PutOn: blend.Wiped, Evidence: Evidence{Tests: []TestCoat{testCoat(blendtest.RedWash, blendtest.Ash, 1)}}},
		},
		Clear: ClearEvidence{Spots: []ClearSpot{{Measured{Lab: blendtest.Oak}, Measured{Lab: blendtest.Sapele}}}},
	}
	solved, err := s.solve(t.Context())
	require.NoError(t, err)
	work := solved.scratch()
	for i := range solved.posterior.at {
		for _, h := range []float64{-0.01, 0.01} {
			p := slices.Clone(solved.posterior.at)
			p[i] += h
			require.Greater(t, solved.normal(p, solved.whitening, nil, work), solved.posterior.cost, "unknown %d", i)
		}
	}
}

// What is not an unknown, by small steps too: the ground and the film that was laid.
func TestSensitivity(t *testing.T) {
	r := gatherReadings([]Measured{{Lab: blendtest.Oak}, {Lab: blendtest.Sapele}}, nil, nil)
	known := &ShelfCoating{Name: "w", Kind: "wash", Evidence: Evidence{Tests: []TestCoat{
		{Ground: Measured{Lab: blendtest.Oak}, Result: Measured{Lab: blendtest.Sapele}, Coats: 2, Surface: blend.Bare}}}}
	clear := &ClearEvidence{Spots: []ClearSpot{{Measured{Lab: blendtest.Oak}, Measured{Lab: blendtest.Sapele}}}}
	wash, finish := newCoatingComponent(known, Bias{}, r), newClearComponent(clear, r)
	for _, c := range []struct {
		model  component
		ground *spectra.Spectrum
	}{{wash, &wash.seen[0].ground}, {finish, &finish.seen[0].ground}} {
		at := c.model.starts()[0]
		slopes := [3][]float64{make([]float64, len(at)), make([]float64, len(at)), make([]float64, len(at))}
		by := c.model.sensitivity(0, at)
		for band := range c.ground {
			const h = 1e-4
			c.ground[band] += h
			up := c.model.predict(0, at, &slopes, 0)
			c.ground[band] -= 2 * h
			down := c.model.predict(0, at, &slopes, 0)
			c.ground[band] += h
			for k := range 3 {
				require.InDelta(t, (up[k]-down[k])/(2*h), by.ground[k][band], 1e-2)
			}
		}
	}
	at := wash.starts()[4]
	by := wash.sensitivity(0, at)
	slopes := [3][]float64{make([]float64, unknowns), make([]float64, unknowns), make([]float64, unknowns)}
	const h = 1e-4
	wash.seen[0].share = math.Exp(h)
	up := wash.predict(0, at, &slopes, 0)
	wash.seen[0].share = math.Exp(-h)
	down := wash.predict(0, at, &slopes, 0)
	for k := range 3 {
		require.InDelta(t, (up[k]-down[k])/(2*h), by.film[k], 1e-5)
	}
}

func TestFilmsOfAPoint(t *testing.T) {
	var p point
	for i := range knots {
		p[i], p[knots+i] = math.Log(0.3), math.Log(0.7)
	}
	p[knots-1] = math.Log(0.6) // at 700 nm
	films := p.films()
	require.InDelta(t, 0.3, films[0].K, 1e-15, "flat below 400 nm")
	require.InDelta(t, 0.6, films[spectra.Bands-1].K, 1e-15, "flat above 700 nm")
	require.InDelta(t, 0.7, films[20].S, 1e-15)
	at := (690 - spectra.FirstBand) / spectra.BandStep
	require.InDelta(t, math.Log(0.3)+0.7*math.Log(2), math.Log(films[at].K), 1e-12, "690 nm is seven tenths of the way")
}

// What single woods take up, by small steps.
func TestWoodSlopes(t *testing.T) {
	wash := &ShelfCoating{Name: "w", Kind: "wash", Evidence: Evidence{Tests: []TestCoat{
		{Ground: Measured{Lab: blendtest.Oak}, Result: Measured{Lab: blendtest.Sapele}, Coats: 2, Surface: blend.Bare, Wood: "sapwood"},
		{Ground: Measured{Lab: blendtest.Oak}, Result: Measured{Lab: blendtest.Sapele}, Coats: 1, Surface: blend.Porous, Wood: "heartwood"},
		{Ground: Measured{Lab: blendtest.Oak}, Result: Measured{Lab: blendtest.Sapele}, Coats: 1, Surface: blend.Sealed, Wood: "sapwood"},
		{Ground: Measured{Lab: blendtest.Oak}, Result: Measured{Lab: blendtest.Sapele}, Coats: 1, Surface: blend.Bare}}}}
	c := newCoatingComponent(wash, Bias{}, gatherReadings([]Measured{{Lab: blendtest.Oak}, {Lab: blendtest.Sapele}}, nil, nil))
	require.Equal(t, unknowns+4, c.size())
	at := c.starts()[4]
	for i := unknowns; i < len(at); i++ {
		at[i] = 0.1 * float64(i-unknowns-1)
	}
	for i := range c.seen {
		var slopes, spare [3][]float64
		for axis := range slopes {
			slopes[axis], spare[axis] = make([]float64, c.size()), make([]float64, c.size())
		}
		c.predict(i, at, &slopes, 0)
		for k := range at {
			const h = 1e-5
			was := at[k]
			at[k] = was + h
			up := c.predict(i, at, &spare, 0)
			at[k] = was - h
			down := c.predict(i, at, &spare, 0)
			at[k] = was
			for axis := range slopes {
				require.InDelta(t, (up[axis]-down[axis])/(2*h), slopes[axis][k], 1e-5, "test %d, unknown %d", i, k)
			}
		}
	}
}

// The prior's derivatives, by small steps; and what a wash is expected to do: a tenth of the light of a pale wood in a coat, however
// much of that is scattering.
func TestPriorSlopes(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 36))
	for _, kind := range []blend.Kind{"wash", "dye", "paint"} {
		terms := priorOf(kind, 0).terms(Bias{}, 0.1)
		at, slopes, spare := make([]float64, unknowns), make([]float64, unknowns), make([]float64, unknowns)
		for i := range at {
			at[i] = 2 * rng.NormFloat64()
		}
		for i := range terms.rows {
			terms.residual(i, at, slopes)
			for k := range at {
				const h = 1e-5
				was := at[k]
				at[k] = was + h
				up := terms.residual(i, at, spare)
				at[k] = was - h
				down := terms.residual(i, at, spare)
				at[k] = was
				require.InDelta(t, (up-down)/(2*h), slopes[k], 1e-6, "%s, term %d, unknown %d", kind, i, k)
			}
		}
	}
	terms := priorOf("wash", 0).terms(Bias{}, 0.1)
	strength := slices.Index(terms.kind, ofStrength)
	for _, film := range []blend.Film{{K: 0.07, S: 0.04}, {K: 0.01, S: 0.28}, {K: 0.0799, S: 0.0004}} {
		at := make([]float64, unknowns)
		for i := range knots {
			at[i], at[knots+i] = math.Log(film.K), math.Log(film.S)
		}
		require.InDelta(t, 0, terms.residual(strength, at, make([]float64, unknowns)), 1e-9)
	}
}
