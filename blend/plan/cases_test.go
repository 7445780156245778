package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// Cases of the trade, reworded: what was done and how it came out, as directions to hold and not
// numbers to hit. All are common practice, no source; the coatings are of our own invention.

var (
	maple     = colour.Lab{L: 82, A: 4, B: 19} // species from memory, ±5
	redOak    = colour.Lab{L: 66, A: 10, B: 21}
	pine      = colour.Lab{L: 80, A: 5, B: 24}
	whiteWash = blendtest.Invented("white wash", "wash", func(nm float64) blend.Film {
		return blend.Film{K: blendtest.Sigmoid(0.02, 0.002, (nm-430)/15), S: 0.16}
	})
	orangeDye = blendtest.Invented("orange dye", "dye",
		func(nm float64) blend.Film { return blend.Film{K: blendtest.Sigmoid(0.45, 0.005, (nm-530)/18)} })
	purpleDye = blendtest.Invented("red-brown dye", "dye", func(nm float64) blend.Film {
		return blend.Film{K: 0.10 + 0.42*bell((nm-545)/45) + 0.05*bell((nm-420)/30)}
	})
)

func bell(x float64) float64 { return 1 / (1 + x*x*x*x) }

// after is the colour of a wood after so many coats put on in a way that c says.
func after(c *blend.Coating, wood colour.Lab, coats float64, on blend.Surface) colour.Lab {
	s := spectra.Smoothest(wood)
	end := c.Over(&s, c.Thickness(coats, on, nil))
	return end.Lab()
}

// Pale wood to a very dark brown by wiping: wiped coats saturate early, and what is left on goes on.
func TestWipedCoatsSaturate(t *testing.T) {
	wiped, left := *blendtest.BrownDye, *blendtest.BrownDye
	wiped.PutOn, wiped.Carry = blend.Wiped, 0.45
	step := func(c *blend.Coating, n float64) float64 {
		return colour.DeltaE2000(after(c, maple, n-1, blend.Sealed), after(c, maple, n, blend.Sealed))
	}
	require.Less(t, step(&wiped, 3), 0.4*step(&wiped, 1))
	require.Greater(t, step(&left, 3), 0.4*step(&left, 1))
	dark := colour.Lab{L: 25, A: 6, B: 8}
	byWiping, err := planArea(t.Context(), maple, dark, []*blend.Coating{&wiped}, Options{Price: cheap})
	require.NoError(t, err)
	byFilm, err := planArea(t.Context(), maple, dark, []*blend.Coating{&left}, Options{Price: cheap})
	require.NoError(t, err)
	require.Greater(t, byWiping.After.Median, byFilm.After.Median+5, "wiping alone does not get there")
}

// Ambered wood to a pale floor with a white tint in the sealer: many coats at a low tint, fewer at a
// higher one.
func TestWhiteTintTakesManyCoats(t *testing.T) {
	ambered, floor := colour.Lab{L: 72, A: 9, B: 32}, after(whiteWash, colour.Lab{L: 72, A: 9, B: 32}, 2, blend.Sealed)
	counts := map[float64]int{}
	for _, tint := range []float64{1.0 / 3, 2.0 / 3, 1} {
		plan, err := planArea(t.Context(), ambered, floor, []*blend.Coating{whiteWash.Strength(tint)}, Options{Price: cheap})
		require.NoError(t, err)
		require.True(t, plan.Reachable)
		counts[tint] = plan.Coats[0].Count
	}
	require.InDelta(t, 6, counts[1.0/3], 1)
	require.Less(t, counts[2.0/3], counts[1.0/3])
	require.Less(t, counts[1], counts[2.0/3])
}

// Dark wood with pale sapwood: an orange dye all over, then a dark brown: the boundary falls at
// each step.
func TestSapwoodIsBroughtToTheHeart(t *testing.T) {
	heart, sap := blendtest.Walnut, colour.Lab{L: 70, A: 5, B: 19}
	before := colour.DeltaE2000(heart, sap)
	orangeHeart, orangeSap := after(orangeDye, heart, 2, blend.Bare), after(orangeDye, sap, 2, blend.Bare)
	dyed := colour.DeltaE2000(orangeHeart, orangeSap)
	stained := colour.DeltaE2000(after(blendtest.BrownDye, orangeHeart, 2, blend.Bare), after(blendtest.BrownDye, orangeSap, 2, blend.Bare))
	require.Less(t, dyed, before)
	require.Less(t, stained, dyed)
}

// A pine table to brown-orange by several coats of a blend: darker with each, and the last, of
// red-brown, takes the orange down.
func TestPineGoesDarkerAndLessOrange(t *testing.T) {
	colours := []colour.Lab{pine}
	for n := 1; n <= 5; n++ {
		colours = append(colours, after(blendtest.BrownDye.Strength(0.5), pine, float64(n), blend.Sealed))
		require.Less(t, colours[n].L, colours[n-1].L)
	}
	last := after(purpleDye, colours[5], 1, blend.Sealed)
	require.Less(t, last.L, colours[5].L)
	require.Less(t, last.LCh().H, colours[5].LCh().H, "redder in hue than orange")
	require.Less(t, last.B, colours[5].B)
}

// The same recipe on the same wood two years on: the new parts began as another colour, and end as
// another, nearer than they were.
func TestSameRecipeOnOlderWood(t *testing.T) {
	fresh, aged := colour.Lab{L: 68, A: 10, B: 20}, colour.Lab{L: 60, A: 13, B: 25}
	a, b := after(blendtest.BrownDye, fresh, 2, blend.Bare), after(blendtest.BrownDye, aged, 2, blend.Bare)
	require.Greater(t, colour.DeltaE2000(a, b), 2.0)
	require.Less(t, colour.DeltaE2000(a, b), colour.DeltaE2000(fresh, aged))
}

// White over red oak reads pink: it grows lighter, and its red stays while its yellow goes.
func TestWhiteOverRedOakReadsPink(t *testing.T) {
	pickled := after(whiteWash, redOak, 2, blend.Sealed)
	require.Greater(t, pickled.L, redOak.L+4)
	require.Greater(t, pickled.A, 0.55*redOak.A)
	require.Less(t, pickled.B/redOak.B, pickled.A/redOak.A, "the yellow goes faster than the red")
	require.Less(t, pickled.LCh().H, redOak.LCh().H, "towards pink")
}

// Stained orange, wanted light golden: no dye gets there, and the plan says what could.
func TestOrangeBirchIsNotReachable(t *testing.T) {
	orange, golden := colour.Lab{L: 58, A: 22, B: 42}, colour.Lab{L: 76, A: 7, B: 28}
	dyes, err := planArea(t.Context(), orange, golden, []*blend.Coating{orangeDye, blendtest.BrownDye}, Options{})
	require.NoError(t, err)
	require.False(t, dyes.Reachable)
	require.Contains(t, codes(dyes.Why), "plan.nothing-lightens")
	require.Contains(t, codes(dyes.Why), "plan.paler-paint")
	hiding, err := planArea(t.Context(), orange, golden, []*blend.Coating{orangeDye, blendtest.BrownDye, whiteWash}, Options{})
	require.NoError(t, err)
	require.Less(t, hiding.After.Median, 0.7*dyes.After.Median)
}

// A red-brown to match dark trim: its depth is right and its hue purple. An orange base first
// mends the hue.
func TestOrangeBaseMendsAPurpleHue(t *testing.T) {
	base := after(orangeDye, maple, 1, blend.Sealed)
	target := after(purpleDye, base, 3, blend.Sealed)
	alone, err := planArea(t.Context(), maple, target, []*blend.Coating{purpleDye}, Options{Price: cheap})
	require.NoError(t, err)
	end := alone.Path[len(alone.Path)-1].Lab
	require.InDelta(t, target.L, end.L, 3, "the depth is right")
	require.Less(t, end.B, target.B-5, "and the hue purple")
	require.Contains(t, fmt.Sprint(alone.Why), "colour.bluer")
	both, err := planArea(t.Context(), maple, target, []*blend.Coating{purpleDye, orangeDye}, Options{Price: cheap})
	require.NoError(t, err)
	require.Less(t, both.After.Median, alone.After.Median-worthACoating)
	require.Len(t, both.Coats, 2)
}

// A chest whose veneer was sanded through: where the glue shows, a stain that soaks into the wood
// does much less.
func TestNonAbsorbingSpotsRefuseStain(t *testing.T) {
	stain := *blendtest.BrownDye
	stain.Kind, stain.PutOn, stain.Carry, stain.Uptake, stain.PorousUptake = "stain", blend.Wiped, 0.4, 2.2, 3
	wood := colour.DeltaE2000(maple, after(&stain, maple, 1, blend.Bare))
	spot := colour.DeltaE2000(maple, after(&stain, maple, 1, blend.NonAbsorbing))
	putty := colour.DeltaE2000(maple, after(&stain, maple, 1, blend.Porous))
	require.Less(t, spot, 0.75*wood)
	require.Greater(t, putty, wood, "porous putty goes darker than the wood")
}

// Pale legs beside another pale wood, to a dark red-brown by layers: the colour is met on both, and
// more of the grain of one is left than of the other: it never reads as one wood.
func TestLayersMeetTheColourNotTheGrain(t *testing.T) {
	legs := wood{"legs", blend.Sealed, maple, colour.Lab{L: 80, A: 5, B: 21}}
	body := wood{"body", blend.Sealed, colour.Lab{L: 77, A: 0, B: 20}, colour.Lab{L: 66, A: 2, B: 22}}
	target := after(blendtest.RedWash, after(orangeDye, maple, 1, blend.Sealed), 6, blend.Sealed)
	problem, colours := pieceOf([]wood{legs, body}, target, target)
	problem.Options.Price = cheap
	problem.Areas[1].Target = problem.Areas[0].Target
	plan, err := Make(t.Context(), scattered(16, 0.05, []*blend.Coating{blendtest.RedWash, orangeDye}, colours), problem)
	require.NoError(t, err)
	for _, a := range plan.Choices[0].Areas {
		require.True(t, a.Reachable, "%s: %s", a.Name, a.Why)
	}
	contrast := func(a AreaPlan, w wood) float64 {
		light := colour.Lab{L: 2*w.mean.L - w.figure.L, A: 2*w.mean.A - w.figure.A, B: 2*w.mean.B - w.figure.B}
		return a.Grain * colour.DeltaE2000(light, w.figure)
	}
	require.Greater(t, contrast(plan.Choices[0].Areas[1], body), 2*contrast(plan.Choices[0].Areas[0], legs))
}

// The rules of layers, each with its reason.
func TestLayerOrder(t *testing.T) {
	of := func(name string, kind blend.Kind, f blend.Family) *blend.Coating {
		return &blend.Coating{Name: name, Kind: kind, Family: f}
	}
	wash, oilGlaze, waterDye, spiritDye := of("wash", "wash", blend.WaterBorne), of("oil glaze", "glaze", blend.OilBorne), of("dye",
		"dye", blend.WaterBorne), of("spirit dye", "dye", blend.Alcohol)
	toner, lacquerToner := of("toner", "toner", blend.Alcohol), of("lacquer toner", "toner", blend.Lacquer)
	for _, c := range []struct {
		under, over *blend.Coating
		ok          bool
		why         fault.Code
	}{
		{waterDye, oilGlaze, true, ""},
		{oilGlaze, lacquerToner, true, ""},
		{wash, oilGlaze, true, ""},
		{wash, of("second wash", "wash", blend.WaterBorne), true, ""},
		{oilGlaze, waterDye, false, "layer.order"},
		{toner, oilGlaze, false, "layer.order"},
		{wash, spiritDye, false, "layer.needs-wood"},
		{spiritDye, toner, false, "layer.dissolves"},
		{lacquerToner, of("other", "toner", blend.Lacquer), true, ""}, // sprayed, it bites in
		{lacquerToner, of("other", "wash", blend.Lacquer), false, "layer.dissolves"},
		{oilGlaze, of("stain", "stain", blend.OilBorne), false, "layer.order"},
	} {
		ok, why := blend.MayLie(c.under, c.over)
		require.Equal(t, c.ok, ok, "%s over %s: %s", c.over.Name, c.under.Name, why)
		require.Equal(t, c.why, why.Code)
	}
	for _, f := range blend.Families {
		require.True(t, blend.Family(f).Known())
	}
	require.False(t, blend.Family("beer").Known())
}
