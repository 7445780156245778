package blend_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
)

func part(c *blend.Coating, parts float64) blend.Part { return blend.Part{Coating: c, Parts: parts} }

func requireSameFilms(t *testing.T, want, got *blend.Coating, about string) {
	t.Helper()
	for i := range want.Films {
		require.InDelta(t, want.Films[i].K, got.Films[i].K, 1e-15, about)
		require.InDelta(t, want.Films[i].S, got.Films[i].S, 1e-15, about)
	}
}

func TestMixLaws(t *testing.T) {
	water := &blend.Coating{Name: "water", Kind: "wash"}
	alone := blend.Mix("alone", "wash", part(blendtest.RedWash, 7))
	require.Equal(t, "alone", alone.Name)
	requireSameFilms(t, blendtest.RedWash, alone, "one coating alone")
	requireSameFilms(t, blendtest.RedWash, blend.Mix("m", "wash", part(blendtest.RedWash, 1), part(blendtest.RedWash, 3)), "with itself")
	requireSameFilms(t, blendtest.RedWash.Strength(0.2), blend.Mix("m", "wash", part(blendtest.RedWash, 1), part(water, 4)),
		"1 part paint to 4 parts water")
	requireSameFilms(t, blend.Mix("m", "wash", part(blendtest.RedWash, 1), part(blendtest.MudGlaze, 3)),
		blend.Mix("m", "wash", part(blendtest.MudGlaze, 6), part(blendtest.RedWash, 2)),
		"in any order, and by the cup or by the bucket")
	half := blend.Mix("half", "wash", part(blendtest.RedWash, 1), part(blendtest.PaleWash, 1))
	requireSameFilms(t, blend.Mix("m", "wash", part(blendtest.RedWash, 1), part(blendtest.PaleWash, 1), part(blendtest.MudGlaze, 2)),
		blend.Mix("m", "wash", part(half, 1), part(blendtest.MudGlaze, 1)), "mixes can be mixed")
	red, pale, both := blendtest.RedWash.Limit(), blendtest.PaleWash.Limit(), half.Limit()
	for i := range both {
		require.GreaterOrEqual(t, both[i], min(red[i], pale[i])-1e-12)
		require.LessOrEqual(t, both[i], max(red[i], pale[i])+1e-12)
	}
	require.Panics(t, func() { blend.Mix("m", "wash") })
	for _, parts := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		require.Panics(t, func() {
			blend.Mix("m", "wash", part(blendtest.RedWash, 1), part(blendtest.MudGlaze, parts))
		})
	}
}

// Paints that were measured, and a third that was weighed out between the two. Shares by weight
// stand for shares by volume here, and the films were not all of one thickness.
func TestMixOfMeasuredPaints(t *testing.T) {
	p := blendtest.ReadPalette(t)
	coating := func(sample string) *blend.Coating {
		c := &blend.Coating{Name: sample, Kind: "paint"}
		for i := range c.Films {
			nm := min(max(spectra.FirstBand+i*spectra.BandStep, 400), 700)
			f, ok := p.Film(sample, nm)
			require.True(t, ok, "%s at %d nm", sample, nm)
			c.Films[i] = f
		}
		return c
	}
	for _, m := range []struct {
		weak, strong, between string
		share                 float64 // of strong in between, by weight
	}{
		{"09A", "09E", "09D", 1.5 / 4.8}, // a green with 0, 4.8 and 1.5 % of black
		{"07B", "13B", "13G", 1.1 / 6.3}, // a white with 0, 6.3 and 1.1 % of blue
	} {
		weak, strong := coating(m.weak), coating(m.strong)
		mix := blend.Mix(m.between, "paint", part(weak, 1-m.share), part(strong, m.share))
		want, got := coating(m.between), mix.Limit()
		truth, a, b := want.Limit(), weak.Limit(), strong.Limit()
		var lights spectra.Spectrum
		for i := range lights {
			lights[i] = (1-m.share)*a[i] + m.share*b[i]
		}
		off := func(s spectra.Spectrum) float64 { return colour.DeltaE2000(truth.Lab(), s.Lab()) }
		t.Logf("%s in opaque films: off by %.2f ΔE00; mixing reflectances %.2f; taking the weaker paint for it %.2f",
			m.between, off(got), off(lights), off(a))
		require.Less(t, off(got), off(lights))
		require.Less(t, off(got), off(a))
	}
}
