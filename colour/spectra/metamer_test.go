package spectra_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/internal/colourtest"
	"huewright/colour/spectra"
)

// Spectra of one colour differ, and have that colour.
func TestMetamersKeepTheirColour(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for _, c := range woods {
		prior := spectra.PriorSpectrum(c)
		colourtest.RequireLab(t, c, prior.Lab(), 0.05)
		for range 20 {
			var weights [spectra.Modes]float64
			for k := range weights {
				weights[k] = rng.NormFloat64()
			}
			s := spectra.Metamer(c, &weights)
			colourtest.RequireLab(t, c, s.Lab(), 0.1)
			require.NotEqual(t, prior, s)
		}
	}
}

// The prior spectrum of a measured plywood's colour is off at most half as much as the smoothest.
func TestPriorSpectrumIsNearerAWood(t *testing.T) {
	wood := spectrumOf(plywood(t), 0)
	off := func(s spectra.Spectrum) float64 {
		sum := 0.0
		for i := range s {
			sum += (s[i] - wood[i]) * (s[i] - wood[i])
		}
		return math.Sqrt(sum / spectra.Bands)
	}
	prior, smoothest := off(spectra.PriorSpectrum(wood.Lab())), off(spectra.Smoothest(wood.Lab()))
	t.Logf("off by %.4f; the smoothest by %.4f", prior, smoothest)
	require.Less(t, prior, smoothest/2)
}

// The derivatives of a prior are those of its spectra, and no mode changes the colour.
func TestPriorDerivatives(t *testing.T) {
	for _, c := range woods {
		p := spectra.PriorOf(c)
		require.Equal(t, spectra.PriorSpectrum(c), p.Mean)
		byBand := spectra.BandJacobian(&p.Mean)
		for k := range spectra.Modes {
			const h = 1e-3
			up, down := [spectra.Modes]float64{}, [spectra.Modes]float64{}
			up[k], down[k] = h, -h
			a, b := spectra.Metamer(c, &up), spectra.Metamer(c, &down)
			for i := range a {
				require.InDelta(t, (a[i]-b[i])/(2*h), p.ByMode[i][k], 0.01, "%v, band %d, mode %d", c, i, k)
			}
			for axis := range byBand {
				change := 0.0
				for i := range p.ByMode {
					change += byBand[axis][i] * p.ByMode[i][k]
				}
				require.InDelta(t, 0, change, 1e-6)
			}
		}
		for axis := range byBand { // what changes with L*, a* or b* changes it by 1 and the others not at all
			for k := range 3 {
				change := 0.0
				for i := range p.ByLab {
					change += byBand[axis][i] * p.ByLab[i][k]
				}
				want := 0.0
				if axis == k {
					want = 1
				}
				require.InDelta(t, want, change, 0.02)
			}
		}
	}
}

func TestBandJacobianMatchesDifferences(t *testing.T) {
	s := spectra.Smoothest(colour.Lab{L: 44, A: 14, B: 20})
	byBand := spectra.BandJacobian(&s)
	for i := range s {
		const h = 1e-6
		up, down := s, s
		up[i] += h
		down[i] -= h
		a, b := up.Lab(), down.Lab()
		for axis, diff := range [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} {
			require.InDelta(t, diff/(2*h), byBand[axis][i], 1e-4)
		}
	}
}

func TestCorrelationFadesWithTheDifference(t *testing.T) {
	oak, ash, blue := woods[4], woods[3], colour.Lab{L: 40, A: 0, B: -40}
	require.Equal(t, 1.0, spectra.Correlation(oak, oak))
	require.InDelta(t, spectra.Correlation(oak, ash), spectra.Correlation(ash, oak), 0)
	require.Less(t, spectra.Correlation(oak, blue), 0.01)
	require.Greater(t, spectra.Correlation(oak, ash), spectra.Correlation(oak, blue))
}
