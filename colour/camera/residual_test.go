package camera

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// A Gaussian process is as its textbook has it: the covariance of Rasmussen and Williams (2006), equation
// 2.31, whose value one length away is e^(-1/2) of that at hand; and one sample of noise sd, alone, is
// followed by size²/(size² + sd²) of what is left at it.
func TestResidualsFollowTheTextbook(t *testing.T) {
	at, away := colour.Lab{L: 50, A: 10, B: 20}, colour.Lab{L: 50, A: 10, B: 20 + residualLength}
	require.InDelta(t, residualSize*residualSize, residualCovariance(at, at), 1e-12)
	require.InDelta(t, residualSize*residualSize*math.Exp(-0.5), residualCovariance(at, away), 1e-12)

	grey := colour.Lab{L: 50, A: 0, B: 0}
	samples := make([]Sample, leastOfChart)
	for i := range samples { // so far apart that none tells of another
		samples[i] = Sample{Camera: grey.LinearRGB(), Want: grey}
		samples[i].Camera.R += 40 * float64(i)
	}
	p := identity
	for i := range samples {
		samples[i].Want = p.xyz(samples[i].Camera, samples[i].At).Lab()
	}
	samples[0].Want.L++
	f := residualsOf(&p, samples)
	noise := 1 / samples[0].weight()
	followed := f.correct(f.at[0]).L - f.at[0].L
	require.InDelta(t, residualSize*residualSize/(residualSize*residualSize+noise*noise), followed, 1e-6)
}
