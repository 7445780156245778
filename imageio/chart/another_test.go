package chart_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

// anotherCard draws a card of 24 patches that is not the chart: the chart's colours in another order, or its layout in other colours, or
// six greys and 18 colours anywhere.
func anotherCard(rng *rand.Rand) *[24]camera.ChartPatch {
	patches := camera.Chart24(camera.Since2014)
	switch kind := rng.IntN(3); kind {
	case 0:
		rng.Shuffle(24, func(i, k int) { patches[i].Lab, patches[k].Lab = patches[k].Lab, patches[i].Lab })
	case 1: // a row or a column of greys, and every other patch of a hue turned by 40° or more
		for i := range 18 {
			lch := patches[i].Lab.LCh()
			patches[i].Lab = hued(lch.L, lch.C, lch.H+40+280*rng.Float64())
		}
	default:
		for i := range 18 {
			patches[i].Lab = hued(30+55*rng.Float64(), 15+30*rng.Float64(), 360*rng.Float64())
		}
	}
	return &patches
}

// hued is a colour by its lightness, chroma and hue in degrees.
func hued(l, c, h float64) colour.Lab {
	sin, cos := math.Sincos(h * math.Pi / 180)
	return colour.Lab{L: l, A: c * cos, B: c * sin}
}

func TestAnotherCard(t *testing.T) {
	n := figure.Draws(12, 60)
	told, misnamed, found := 0, 0, 0
	for seed := range n {
		rng := rand.New(rand.NewPCG(uint64(seed), 931))
		values := anotherCard(rng)
		card := drawnCard{
			x: 600 + 40*rng.Float64(), y: 440 + 30*rng.Float64(), width: 300 + 300*rng.Float64(), gap: 0.08 + 0.14*rng.Float64(),
			roll: 360 * rng.Float64(), tilt: 30 * rng.Float64(), paint: func(i int) colour.Lab { return values[i].Lab },
		}
		photo := drawnPhotoOf(t, 1200, 900, card)
		_, err := chart.Find(t.Context(), photo, chart.Search{})
		require.Error(t, err)
		switch code := fault.Of(err).Code; code {
		case chart.Another:
			told++
		case chart.EitherWay, "chart.mirrored":
			misnamed++
			t.Log(seed, code)
		default:
			t.Log(seed, code)
		}
		seen, err := chart.Find(t.Context(), photo, chart.Search{Options: chart.Options{Values: values}})
		if err != nil || worstCorner(card.corners(), seen.Corners) > 0.015 {
			t.Log(seed, "with its values", err)
			continue
		}
		_, report, _, err := chart.Fit(t.Context(), photo, seen.Corners, chart.Options{Values: values})
		require.NoError(t, err)
		if report.LOOMean < 4 {
			found++
		} else {
			t.Log(seed, "read to", report.LOOMean)
		}
	}
	figure.Report(t, "another card/told", "%d of %d", told, n)
	figure.Report(t, "another card/called mirrored or either way round", "%d of %d", misnamed, n)
	figure.Report(t, "another card/used with its values", "%d of %d", found, n)
	require.Zero(t, misnamed)
	figure.AtLeast(t, 0.75, float64(told)/float64(n), float64(n), "muted ones are not known for cards")
	figure.AtLeast(t, 0.9, float64(found)/float64(n), float64(n))
}

// The chart itself, searched for by another card's values, is not that card.
func TestValuesOfAnotherCard(t *testing.T) {
	photo := drawnPhoto(t, drawnCard{x: 600, y: 450, width: 400, gap: 0.13, roll: 15})
	values := anotherCard(rand.New(rand.NewPCG(3, 932)))
	_, err := chart.Find(t.Context(), photo, chart.Search{Options: chart.Options{Values: values}})
	require.Equal(t, fault.Code("chart.other-values"), fault.Of(err).Code)
}

// Corners that do not lie on the chart are refused, with where it is; those that are off by a third of a patch will do.
func TestCornersThatDoNotFit(t *testing.T) {
	card := drawnCard{x: 610, y: 440, width: 480, gap: 0.13, roll: 10}
	photo := drawnPhoto(t, card)
	moved := func(dx, dy float64) (q [4]imageio.Point) {
		for i, c := range card.corners() {
			q[i] = imageio.Point{X: c.X + 80*dx, Y: c.Y + 80*dy} // of a patch
		}
		return q
	}
	for _, by := range [][2]float64{{1, 0}, {0, -1}, {0.6, 0}, {2, 1}, {-0.7, 0.6}} {
		_, _, _, err := chart.Fit(t.Context(), photo, moved(by[0], by[1]), chart.Options{})
		f := fault.Of(err)
		require.NotNil(t, f, fmt.Sprint(by, err))
		require.Equal(t, fault.Code("chart.corners-off"), f.Code, by)
		require.Equal(t, fault.Use, f.Kind)
		right, err := imageio.ParseOutline(f.Values["order"].(string))
		require.NoError(t, err)
		require.NotNil(t, right)
	}
	_, report, _, err := chart.Fit(t.Context(), photo, moved(0.2, 0.1), chart.Options{})
	require.NoError(t, err)
	require.Less(t, report.LOOMean, 2.0)
}
