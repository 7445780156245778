package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// lampAt is a light that falls off by the square of the distance, as that of a bare lamp
// does: no polynomial.
func lampAt(p Position) float64 {
	return -math.Log((p.X-1.4)*(p.X-1.4) + (p.Y+0.8)*(p.Y+0.8) + 1)
}

func slipsAt(light func(Position) float64, noise float64, at ...Position) []LightSpot {
	rng := rand.New(rand.NewPCG(7, 7))
	var spots []LightSpot
	for _, p := range at {
		spots = append(spots, LightSpot{At: p, Log: -0.3 + light(p) + noise*rng.NormFloat64()})
	}
	return spots
}

var (
	corners   = []Position{{-0.4, -0.3}, {0.4, -0.3}, {0.4, 0.3}, {-0.4, 0.3}}
	chartSide = Position{-0.45, 0}
)

func TestLightFieldFollowsALamp(t *testing.T) {
	off := func(f *LightField) (worst float64) {
		for x := -0.4; x <= 0.4; x += 0.1 {
			for y := -0.3; y <= 0.3; y += 0.1 {
				p := Position{x, y}
				worst = max(worst, math.Abs(f.Log(p)-(lampAt(p)-lampAt(chartSide))))
			}
		}
		return worst
	}
	at := LightFieldOptions{Reference: &chartSide}
	change := off(FitLightField(nil, at))
	plane := off(FitLightField(slipsAt(lampAt, 0, corners...), at))
	between := append(corners, Position{}, Position{0, -0.3}, Position{0.4, 0}, Position{0, 0.3}, Position{-0.4, 0})
	nine := off(FitLightField(slipsAt(lampAt, 0, between...), at))
	t.Logf("the light changes by up to %.3f; left over with 4 slips %.3f, with 9 %.3f", change, plane, nine)
	require.Greater(t, change, 0.25)
	require.Less(t, plane, 0.06)
	require.Less(t, nine, 0.03)
}

// The field is 1 where the reference is, and a sheet of unknown lightness says nothing from
// one place alone.
func TestLightFieldLaws(t *testing.T) {
	lone := FitLightField([]LightSpot{{At: Position{0.3, 0.2}, Log: 0.5}}, LightFieldOptions{Reference: &chartSide})
	require.Zero(t, lone.Log(chartSide))
	require.Zero(t, lone.Unsure(chartSide))
	require.InDelta(t, 0, lone.Log(Position{0.4, 0.3}), 1e-3)
	require.True(t, math.IsNaN(lone.LeftOut[0]))

	known := FitLightField([]LightSpot{{At: Position{0.3, 0.2}, Log: -0.2}}, LightFieldOptions{Reference: &chartSide, SheetsKnown: true})
	require.Less(t, known.Log(Position{0.3, 0.2}), -0.15)
	require.Less(t, known.Unsure(Position{0.3, 0.2}), lone.Unsure(Position{0.3, 0.2}))

	// Two sheets of other lightness in one light tell the same light.
	spots := slipsAt(lampAt, 0, corners...)
	for _, s := range slipsAt(lampAt, 0, corners...) {
		s.Sheet, s.Log = 1, s.Log-0.9
		spots = append(spots, s)
	}
	one, two := FitLightField(spots[:4], LightFieldOptions{}), FitLightField(spots, LightFieldOptions{})
	for _, p := range corners {
		require.InDelta(t, one.Log(p), two.Log(p), 0.01)
	}

	// Without a reference the mean of the slips is it.
	mean := 0.0
	for _, p := range corners {
		mean += one.Log(p) / 4
	}
	require.InDelta(t, 0, mean, 1e-9)
	require.InDelta(t, one.Unsure(corners[0]), one.UnsureBetween(corners[0], Position{}), 0.1)
}

// Light that no smooth field explains must show in what the field says of itself.
func TestLightFieldKnowsASlipInShadow(t *testing.T) {
	eight := append(append([]Position(nil), corners...), Position{0, -0.3}, Position{0.4, 0}, Position{0, 0.3}, Position{0, 0})
	spots := slipsAt(lampAt, 0.005, eight...)
	clean := FitLightField(spots, LightFieldOptions{})
	spots[5].Log -= 0.4
	shaded := FitLightField(spots, LightFieldOptions{})
	require.Less(t, shaded.LeftOut[5], -0.3)
	require.Greater(t, shaded.Unsure(Position{0.2, 0.1}), 3*clean.Unsure(Position{0.2, 0.1}))
}

// The stated uncertainty holds where the light is drawn from what the priors say.
func TestLightFieldIsAsSureAsItSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	inside, n := 0.0, 0.0
	for range 400 {
		terms := lightTerms{}
		for k := range terms {
			terms[k] = lightSlopeSD * rng.NormFloat64()
			if k >= 2 {
				terms[k] *= lightCurveSD / lightSlopeSD
			}
		}
		truth := LightField{terms: terms}
		var spots []LightSpot
		for range 2 + rng.IntN(6) {
			p := Position{rng.Float64() - 0.5, 0.75 * (rng.Float64() - 0.5)}
			spots = append(spots, LightSpot{At: p, Log: 0.4 + truth.Log(p) + slipSD*rng.NormFloat64()})
		}
		f := FitLightField(spots, LightFieldOptions{Reference: &chartSide})
		p := Position{rng.Float64() - 0.5, 0.75 * (rng.Float64() - 0.5)}
		if miss := f.Log(p) - (truth.Log(p) - truth.Log(chartSide)); math.Abs(miss) <= 1.96*f.Unsure(p) {
			inside++
		}
		n++
	}
	t.Logf("%.1f %% of the true light inside its 95 %%", 100*inside/n)
	require.InDelta(t, 0.95, inside/n, 0.04)
}
