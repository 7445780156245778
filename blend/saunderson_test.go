package blend

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour/spectra"
)

// Our own figures, worked from Saunderson's formula apart from this code: k1 + (1−k1)(1−k2)R/(1−k2·R) with k1 = 0.04 and
// k2 = 0.6, less the gloss k1 and over the 1−k1 that is left of the light.
func TestSaundersonTable(t *testing.T) {
	for _, c := range []struct{ inside, saunderson float64 }{
		{0, 0.04}, {0.1, 0.080851}, {0.25, 0.152941}, {0.5, 0.314286},
		{0.75, 0.563636}, {0.9, 0.791304}, {1, 1},
	} {
		seen := (c.saunderson - 0.04) / 0.96
		require.InDelta(t, seen, underSurface(c.inside, mostInner), 1e-6)
		require.InDelta(t, c.inside, insideSurface(seen, mostInner), 5e-6)
	}
}

func TestSurfaceLaws(t *testing.T) {
	for r := 0.0; r <= 1; r += 0.05 {
		require.Equal(t, r, underSurface(r, 0), "no surface, no change")
		seen := underSurface(r, 0.45)
		require.InDelta(t, r, insideSurface(seen, 0.45), 1e-14, "there and back")
		if r > 0 {
			require.Greater(t, seen, underSurface(r-0.05, 0.45), "lighter inside is lighter outside")
		}
		require.InDelta(t, underSurface(underSurface(r, 0.2), 0.5), underSurface(r, 1-0.8*0.5), 1e-14, "what is let through multiplies")
	}
}

// Coats under a surface keep the laws of films: no coat changes nothing, two and three are five, and many are the limit.
func TestCoatsUnderASurface(t *testing.T) {
	c := &Coating{Surface: 0.8}
	var ground spectra.Spectrum
	for i := range c.Films {
		c.Films[i] = Film{K: 0.02 + 0.01*float64(i), S: 0.1}
		ground[i] = 0.02 * float64(i)
	}
	none, two, five, many := c.Over(&ground, 0), c.Over(&ground, 2), c.Over(&ground, 5), c.Over(&ground, 1e4)
	more, limit := c.Over(&two, 3), c.Limit()
	for i := range ground {
		require.InDelta(t, ground[i], none[i], 1e-14)
		require.InDelta(t, five[i], more[i], 1e-13)
		require.InDelta(t, limit[i], many[i], 1e-12)
	}
}

// The first coat wets bare wood and nothing else; black stays black, white stays white.
func TestWetted(t *testing.T) {
	c := &Coating{Wetting: 0.5}
	ground := spectra.Spectrum{0, 0.2, 0.6, 1}
	for _, on := range []Surface{Sealed, ClearCoated, NonAbsorbing, ""} {
		require.Equal(t, ground, c.Wetted(&ground, on), on)
	}
	for _, on := range []Surface{Bare, Porous} {
		wet := c.Wetted(&ground, on)
		require.Equal(t, []float64{0, 1}, []float64{wet[0], wet[3]})
		require.InDelta(t, 0.7*0.2/(1-0.3*0.2), wet[1], 1e-14)
		require.Less(t, wet[2], 0.6)
	}
	require.Equal(t, ground, (&Coating{}).Wetted(&ground, Bare))
}
