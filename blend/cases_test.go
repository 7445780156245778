package blend

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// Cases of the trade, reworded: what was done and how it came out, as directions to hold and not
// numbers to hit. All are common practice, no source; the coatings are of our own invention.

var (
	maple     = colour.Lab{L: 82, A: 4, B: 19} // species from memory, ±5
	redOak    = colour.Lab{L: 66, A: 10, B: 21}
	pine      = colour.Lab{L: 80, A: 5, B: 24}
	whiteWash = invented("white wash", "wash", func(nm float64) Film { return Film{K: sigmoid(0.02, 0.002, (nm-430)/15), S: 0.16} })
	orangeDye = invented("orange dye", "dye", func(nm float64) Film { return Film{K: sigmoid(0.45, 0.005, (nm-530)/18)} })
	brownDye  = invented("brown dye", "dye", func(nm float64) Film { return Film{K: sigmoid(0.45, 0.13, (nm-560)/50)} })
	purpleDye = invented("red-brown dye", "dye", func(nm float64) Film {
		return Film{K: 0.10 + 0.42*bell((nm-545)/45) + 0.05*bell((nm-420)/30)}
	})
)

func bell(x float64) float64 { return 1 / (1 + x*x*x*x) }

// after is the colour of a wood after so many coats put on in a way that c says.
func after(c *Coating, wood colour.Lab, coats float64, on Surface) colour.Lab {
	s := colour.SpectrumOf(wood)
	end := c.Over(&s, c.Thickness(coats, on, nil))
	return end.Lab()
}

// Pale wood to a very dark brown by wiping: wiped coats saturate early, and what is left on goes on.
func TestWipedCoatsSaturate(t *testing.T) {
	wiped, left := *brownDye, *brownDye
	wiped.PutOn, wiped.Carry = Wiped, 0.45
	step := func(c *Coating, n float64) float64 {
		return colour.DeltaE2000(after(c, maple, n-1, Sealed), after(c, maple, n, Sealed))
	}
	require.Less(t, step(&wiped, 3), 0.4*step(&wiped, 1))
	require.Greater(t, step(&left, 3), 0.4*step(&left, 1))
	dark := colour.Lab{L: 25, A: 6, B: 8}
	byWiping, err := PlanArea(t.Context(), maple, dark, []*Coating{&wiped}, PlanOptions{})
	require.NoError(t, err)
	byFilm, err := PlanArea(t.Context(), maple, dark, []*Coating{&left}, PlanOptions{})
	require.NoError(t, err)
	require.Greater(t, byWiping.After, byFilm.After+5, "wiping alone does not get there")
}

// Ambered wood to a pale floor with a white tint in the sealer: many coats at a low tint, fewer at a
// higher one.
func TestWhiteTintTakesManyCoats(t *testing.T) {
	ambered, floor := colour.Lab{L: 72, A: 9, B: 32}, after(whiteWash, colour.Lab{L: 72, A: 9, B: 32}, 2, Sealed)
	counts := map[float64]int{}
	for _, tint := range []float64{1.0 / 3, 2.0 / 3, 1} {
		plan, err := PlanArea(t.Context(), ambered, floor, []*Coating{whiteWash.Strength(tint)}, PlanOptions{})
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
	heart, sap := walnut, colour.Lab{L: 70, A: 5, B: 19}
	before := colour.DeltaE2000(heart, sap)
	orangeHeart, orangeSap := after(orangeDye, heart, 2, Bare), after(orangeDye, sap, 2, Bare)
	dyed := colour.DeltaE2000(orangeHeart, orangeSap)
	stained := colour.DeltaE2000(after(brownDye, orangeHeart, 2, Bare), after(brownDye, orangeSap, 2, Bare))
	require.Less(t, dyed, before)
	require.Less(t, stained, dyed)
}

// A pine table to brown-orange by several coats of a blend: darker with each, and the last, of
// red-brown, takes the orange down.
func TestPineGoesDarkerAndLessOrange(t *testing.T) {
	colours := []colour.Lab{pine}
	for n := 1; n <= 5; n++ {
		colours = append(colours, after(brownDye.Strength(0.5), pine, float64(n), Sealed))
		require.Less(t, colours[n].L, colours[n-1].L)
	}
	last := after(purpleDye, colours[5], 1, Sealed)
	require.Less(t, last.L, colours[5].L)
	require.Less(t, last.LCh().H, colours[5].LCh().H, "redder in hue than orange")
	require.Less(t, last.B, colours[5].B)
}

// The same recipe on the same wood two years on: the new parts began as another colour, and end as
// another, nearer than they were.
func TestSameRecipeOnOlderWood(t *testing.T) {
	fresh, aged := colour.Lab{L: 68, A: 10, B: 20}, colour.Lab{L: 60, A: 13, B: 25}
	a, b := after(brownDye, fresh, 2, Bare), after(brownDye, aged, 2, Bare)
	require.Greater(t, colour.DeltaE2000(a, b), 2.0)
	require.Less(t, colour.DeltaE2000(a, b), colour.DeltaE2000(fresh, aged))
}

// White over red oak reads pink: it grows lighter, and its red stays while its yellow goes.
func TestWhiteOverRedOakReadsPink(t *testing.T) {
	pickled := after(whiteWash, redOak, 2, Sealed)
	require.Greater(t, pickled.L, redOak.L+4)
	require.Greater(t, pickled.A, 0.55*redOak.A)
	require.Less(t, pickled.B/redOak.B, pickled.A/redOak.A, "the yellow goes faster than the red")
	require.Less(t, pickled.LCh().H, redOak.LCh().H, "towards pink")
}

// Stained orange, wanted light golden: no dye gets there, and the plan says what could.
func TestOrangeBirchIsNotReachable(t *testing.T) {
	orange, golden := colour.Lab{L: 58, A: 22, B: 42}, colour.Lab{L: 76, A: 7, B: 28}
	dyes, err := PlanArea(t.Context(), orange, golden, []*Coating{orangeDye, brownDye}, PlanOptions{})
	require.NoError(t, err)
	require.False(t, dyes.Reachable)
	require.Contains(t, dyes.Why, "no coating on the shelf lightens this wood")
	require.Contains(t, dyes.Why, "only a paler pigment that hides, or bleach before any coat, can")
	hiding, err := PlanArea(t.Context(), orange, golden, []*Coating{orangeDye, brownDye, whiteWash}, PlanOptions{})
	require.NoError(t, err)
	require.Less(t, hiding.After, 0.7*dyes.After)
}

// A red-brown to match dark trim: its depth is right and its hue purple. An orange base first
// mends the hue.
func TestOrangeBaseMendsAPurpleHue(t *testing.T) {
	base := after(orangeDye, maple, 1, Sealed)
	target := after(purpleDye, base, 3, Sealed)
	alone, err := PlanArea(t.Context(), maple, target, []*Coating{purpleDye}, PlanOptions{})
	require.NoError(t, err)
	end := alone.Path[len(alone.Path)-1].Lab
	require.InDelta(t, target.L, end.L, 3, "the depth is right")
	require.Less(t, end.B, target.B-5, "and the hue purple")
	require.Contains(t, alone.Why, "bluer")
	both, err := PlanArea(t.Context(), maple, target, []*Coating{purpleDye, orangeDye}, PlanOptions{})
	require.NoError(t, err)
	require.Less(t, both.After, alone.After-stackGain)
	require.Len(t, both.Coats, 2)
}

// A chest whose veneer was sanded through: where the glue shows, a stain that soaks into the wood
// does much less.
func TestNonAbsorbingSpotsRefuseStain(t *testing.T) {
	stain := *brownDye
	stain.Kind, stain.PutOn, stain.Carry, stain.Uptake, stain.PorousUptake = "stain", Wiped, 0.4, 2.2, 3
	wood := colour.DeltaE2000(maple, after(&stain, maple, 1, Bare))
	spot := colour.DeltaE2000(maple, after(&stain, maple, 1, NonAbsorbing))
	putty := colour.DeltaE2000(maple, after(&stain, maple, 1, Porous))
	require.Less(t, spot, 0.75*wood)
	require.Greater(t, putty, wood, "porous putty goes darker than the wood")
}

// Pale legs beside another pale wood, to a dark red-brown by layers: the colour is met on both, and
// more of the grain of one is left than of the other: it never reads as one wood.
func TestLayersMeetTheColourNotTheGrain(t *testing.T) {
	legs := wood{"legs", Sealed, maple, colour.Lab{L: 80, A: 5, B: 21}}
	body := wood{"body", Sealed, colour.Lab{L: 77, A: 0, B: 20}, colour.Lab{L: 66, A: 2, B: 22}}
	target := after(redWash, after(orangeDye, maple, 1, Sealed), 6, Sealed)
	ask, colours := pieceOf([]wood{legs, body}, target, target)
	ask.Options.LeastGrain = 0.01
	plan, err := PlanPiece(t.Context(), scattered(16, 0.05, []*Coating{redWash, orangeDye}, colours), ask)
	require.NoError(t, err)
	for _, a := range plan.Areas {
		require.True(t, a.Reachable, "%s: %s", a.Name, a.Why)
	}
	contrast := func(a AreaPlan, w wood) float64 {
		light := colour.Lab{L: 2*w.mean.L - w.figure.L, A: 2*w.mean.A - w.figure.A, B: 2*w.mean.B - w.figure.B}
		return a.Grain * colour.DeltaE2000(light, w.figure)
	}
	require.Greater(t, contrast(plan.Areas[1], body), 2*contrast(plan.Areas[0], legs))
}

// The rules of layers, each with its reason.
func TestLayerOrder(t *testing.T) {
	of := func(name string, kind Kind, f Family) *Coating { return &Coating{Name: name, Kind: kind, Family: f} }
	wash, oilGlaze, waterDye, spiritDye := of("wash", "wash", WaterBorne), of("oil glaze", "glaze", OilBorne), of("dye", "dye", WaterBorne), of("spirit dye", "dye", Alcohol)
	toner, lacquerToner := of("toner", "toner", Alcohol), of("lacquer toner", "toner", Lacquer)
	for _, c := range []struct {
		under, over *Coating
		ok          bool
		why         string
	}{
		{waterDye, oilGlaze, true, ""},
		{oilGlaze, lacquerToner, true, ""},
		{wash, oilGlaze, true, ""},
		{wash, of("second wash", "wash", WaterBorne), true, ""},
		{oilGlaze, waterDye, false, "dye, then stain or glaze, then toner"},
		{toner, oilGlaze, false, "belongs under toner"},
		{wash, spiritDye, false, "must reach the wood"},
		{spiritDye, toner, false, "dissolve spirit dye again, both are thinned with alcohol"},
		{lacquerToner, of("other", "toner", Lacquer), false, "dewaxed shellac"},
	} {
		ok, why := MayLie(c.under, c.over)
		require.Equal(t, c.ok, ok, "%s over %s: %s", c.over.Name, c.under.Name, why)
		require.Contains(t, why, c.why)
	}
	for _, f := range Families {
		require.True(t, Family(f).Known())
	}
	require.False(t, Family("beer").Known())
}
