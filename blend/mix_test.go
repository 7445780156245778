package blend

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

func requireSameFilms(t *testing.T, want, got *Coating, about string) {
	t.Helper()
	for i := range want.Films {
		require.InDelta(t, want.Films[i].K, got.Films[i].K, 1e-15, about)
		require.InDelta(t, want.Films[i].S, got.Films[i].S, 1e-15, about)
	}
}

func TestMixLaws(t *testing.T) {
	water := &Coating{Name: "water", Kind: "wash"}
	alone := Mix("alone", "wash", Part{redWash, 7})
	require.Equal(t, "alone", alone.Name)
	requireSameFilms(t, redWash, alone, "one coating alone")
	requireSameFilms(t, redWash, Mix("m", "wash", Part{redWash, 1}, Part{redWash, 3}), "with itself")
	requireSameFilms(t, redWash.Strength(0.2), Mix("m", "wash", Part{redWash, 1}, Part{water, 4}), "1 part paint to 4 parts water")
	requireSameFilms(t, Mix("m", "wash", Part{redWash, 1}, Part{mudGlaze, 3}), Mix("m", "wash", Part{mudGlaze, 6}, Part{redWash, 2}),
		"in any order, and by the cup or by the bucket")
	half := Mix("half", "wash", Part{redWash, 1}, Part{paleWash, 1})
	requireSameFilms(t, Mix("m", "wash", Part{redWash, 1}, Part{paleWash, 1}, Part{mudGlaze, 2}),
		Mix("m", "wash", Part{half, 1}, Part{mudGlaze, 1}), "mixes can be mixed")
	red, pale, both := redWash.Limit(), paleWash.Limit(), half.Limit()
	for i := range both {
		require.GreaterOrEqual(t, both[i], min(red[i], pale[i])-1e-12)
		require.LessOrEqual(t, both[i], max(red[i], pale[i])+1e-12)
	}
	require.Panics(t, func() { Mix("m", "wash") })
	for _, parts := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		require.Panics(t, func() { Mix("m", "wash", Part{redWash, 1}, Part{mudGlaze, parts}) })
	}
}

// Paints that were measured, and a third that was weighed out between the two. Shares by weight
// stand for shares by volume here, and the films were not all of one thickness.
func TestMixOfMeasuredPaints(t *testing.T) {
	p := readPalette(t)
	coating := func(sample string) *Coating {
		c := &Coating{Name: sample, Kind: "paint"}
		for i := range c.Films {
			nm := min(max(colour.FirstBand+i*colour.BandStep, 400), 700)
			f, ok := p.film(sample, nm)
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
		mix := Mix(m.between, "paint", Part{weak, 1 - m.share}, Part{strong, m.share})
		want, got := coating(m.between), mix.Limit()
		truth, a, b := want.Limit(), weak.Limit(), strong.Limit()
		var lights colour.Spectrum
		for i := range lights {
			lights[i] = (1-m.share)*a[i] + m.share*b[i]
		}
		off := func(s colour.Spectrum) float64 { return colour.DeltaE2000(truth.Lab(), s.Lab()) }
		t.Logf("%s in opaque films: off by %.2f ΔE00; mixing reflectances %.2f; taking the weaker paint for it %.2f", m.between, off(got), off(lights), off(a))
		require.Less(t, off(got), off(lights))
		require.Less(t, off(got), off(a))
	}
}
