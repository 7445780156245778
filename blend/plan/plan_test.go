package plan

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

var (
	darkDye   = blendtest.Invented("dark dye", "dye", func(float64) blend.Film { return blend.Film{K: 0.1} })
	wholeRack = []*blend.Coating{blendtest.RedWash, darkDye, blendtest.PaleWash, blendtest.MudGlaze}
)

// A target made by laying coats is found again, whichever coating made it.
func TestPlanFindsTheCoatsThatMadeTheTarget(t *testing.T) {
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		for _, c := range wholeRack {
			for n := 1; n <= 6; n++ {
				target := blendtest.ColourOver(c, wood, float64(n))
				plan, err := planArea(t.Context(), wood, target, wholeRack, Options{Price: cheap})
				require.NoError(t, err)
				require.True(t, plan.Reachable)
				require.Empty(t, plan.Why)
				require.LessOrEqual(t, plan.After.Median, worthACoat)
				if colour.DeltaE2000(blendtest.ColourOver(c, wood, float64(n-1)), target) > 2*worthACoat {
					require.Equal(t, []CoatCount{{c.Name, n, [2]int{n, n}}}, plan.Coats, "%s on %v", c.Name, wood)
				}
			}
		}
	}
}

// No count and no coating by itself ends nearer than the plan, by more than a coat is worth.
func TestPlanIsTheBestThereIs(t *testing.T) {
	targets := []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut, {L: 30, A: 12, B: 8},
		{L: 60, A: -20, B: 20}, {L: 90, A: 0, B: 4}}
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		for _, target := range targets {
			plan, err := planArea(t.Context(), wood, target, wholeRack, Options{Price: cheap})
			require.NoError(t, err)
			for _, c := range wholeRack {
				for n := 1; n <= 12; n++ {
					e := colour.DeltaE2000(target, blendtest.ColourOver(c, wood, float64(n)))
					require.GreaterOrEqual(t, e, plan.After.Median-worthACoat, "%d %s on %v to %v", n, c.Name, wood, target)
				}
			}
			require.LessOrEqual(t, plan.After.Median, plan.Before.Median)
			require.Equal(t, plan.After.Median <= 2, plan.Reachable)
			require.Equal(t, plan.Reachable, len(plan.Why) == 0)
		}
	}
}

func TestPlanPath(t *testing.T) {
	target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 3)
	plan, err := planArea(t.Context(), blendtest.Ash, target, []*blend.Coating{blendtest.RedWash}, Options{Price: cheap})
	require.NoError(t, err)
	require.Len(t, plan.Path, 4)
	for n, s := range plan.Path {
		require.Equal(t, n, s.Coats)
		require.InDelta(t, colour.DeltaE2000(target, s.Lab), s.DeltaE, 1e-12)
		require.InDelta(t, 0, colour.DeltaE2000(blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, float64(n)), s.Lab), 1e-5)
	}
	require.InDelta(t, 0, colour.DeltaE76(blendtest.Ash, plan.Path[0].Lab), 1e-9, "the area as it was measured")
	require.Equal(t, plan.Before.Median, plan.Path[0].DeltaE)
	require.Equal(t, plan.After.Median, plan.Path[3].DeltaE)
	require.Equal(t, 4, plan.OneMore.Coats)
	require.Equal(t, blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 4), plan.OneMore.Lab)
}

func TestPlanNothingToDo(t *testing.T) {
	plan, err := planArea(t.Context(), blendtest.Ash, blendtest.Ash, wholeRack, Options{})
	require.NoError(t, err)
	require.Empty(t, plan.Coats)
	require.InDelta(t, 0, plan.After.Median, 1e-9)
	require.True(t, plan.Reachable)
	require.Len(t, plan.Path, 1)
	require.Equal(t, 1, plan.OneMore.Coats)
}

// A stack is laid in order, when a single coating does not do and the stack clearly does.
func TestPlanStacks(t *testing.T) {
	wood := spectra.Smoothest(blendtest.Ash)
	between := blendtest.RedWash.Over(&wood, 2)
	end := blendtest.PaleWash.Over(&between, 3)
	plan, err := planArea(t.Context(), blendtest.Ash, end.Lab(), wholeRack, Options{Price: cheap})
	require.NoError(t, err)
	require.Equal(t, []CoatCount{{"red-brown wash", 2, [2]int{2, 2}}, {"pale wash", 3, [2]int{3, 3}}}, plan.Coats)
	require.InDelta(t, 0, plan.After.Median, 1e-9)
	require.Len(t, plan.Path, 6)
	require.Equal(t, []string{"", "red-brown wash", "red-brown wash", "pale wash", "pale wash", "pale wash", "pale wash"}, uppermost(plan))

	plan, err = planArea(t.Context(), blendtest.Ash, end.Lab(), wholeRack, Options{MaxCoats: 4, Price: cheap})
	require.NoError(t, err)
	require.LessOrEqual(t, len(plan.Path), 5, "no more coats than allowed in all")
}

func uppermost(p AreaPlan) (names []string) {
	for _, s := range append(p.Path, p.OneMore) {
		names = append(names, s.Coating)
	}
	return names
}

// Where it is best to lay nothing, one coat more is one of the coating that ends nearest,
// whatever the order of the shelf. It was once of whichever coating stood first.
func TestPlanBeyondNothing(t *testing.T) {
	for _, shelf := range [][]*blend.Coating{{blendtest.MudGlaze, blendtest.RedWash, darkDye},
		{darkDye, blendtest.RedWash, blendtest.MudGlaze}} {
		plan, err := planArea(t.Context(), blendtest.Ash, blendtest.Ash, shelf, Options{})
		require.NoError(t, err)
		require.Empty(t, plan.Coats)
		for _, c := range shelf {
			// two ways to one figure, rounded each in its own
			require.LessOrEqual(t, plan.OneMore.DeltaE, colour.DeltaE2000(blendtest.Ash, blendtest.ColourOver(c, blendtest.Ash, 1))+1e-9, c.Name)
		}
	}
}

// Bleach and pale pigment are only spoken of where the wood is darker than the target, not where
// the coats are.
func TestPlanBleachesNoPaleWood(t *testing.T) {
	plan, err := planArea(t.Context(), blendtest.Ash, colour.Lab{L: 70, A: 60, B: 40}, []*blend.Coating{blendtest.RedWash},
		Options{Price: cheap})
	require.NoError(t, err)
	require.NotEmpty(t, plan.Coats)
	require.Contains(t, fmt.Sprint(plan.Why), "colour.lighter")
	require.NotContains(t, fmt.Sprint(plan.Why), "plan.paler-paint")
}

func TestPlanSaysWhy(t *testing.T) {
	for name, c := range map[string]struct {
		ground, target colour.Lab
		shelf          []*blend.Coating
		opt            Options
		want           []string
	}{
		"thin dark coats do not lighten": {blendtest.Walnut, blendtest.Ash, []*blend.Coating{blendtest.RedWash, darkDye}, Options{},
			[]string{"colour.darker grade=much", "plan.nothing-lightens", "plan.paler-paint"}},
		"between counts": {blendtest.Ash, blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 1.5),
			[]*blend.Coating{blendtest.RedWash}, Options{},
			[]string{"plan.between-coats coating=red-brown wash high=2 low=1", "plan.thin-the-mix coats=2", "mix=3 thinner=1"}},
		"less than one": {blendtest.Ash, blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 0.4),
			[]*blend.Coating{blendtest.RedWash}, Options{},
			[]string{"plan.under-one-coat", "plan.thin-the-mix coats=1", "mix=2 thinner=3"}},
		"too few allowed": {blendtest.Ash, blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 5),
			[]*blend.Coating{blendtest.RedWash}, Options{MaxCoats: 3},
			[]string{"plan.too-few-coats coats=3", "plan.stronger-does"}},
		"too few allowed, and never enough": {blendtest.Ash, colour.Lab{L: 20, A: 30, B: 15}, []*blend.Coating{blendtest.RedWash},
			Options{MaxCoats: 3},
			[]string{"plan.too-few-coats coats=3", "plan.stronger-helps",
				"plan.missing difference=colour.difference changes=[colour.darker grade=much"}},
		"wrong hue": {blendtest.Ash, colour.Lab{L: 60, A: -20, B: 20}, []*blend.Coating{blendtest.RedWash, darkDye}, Options{},
			[]string{"plan.missing", "colour.greener"}},
		"at the limit": {blendtest.Walnut, colour.Lab{L: 95, A: 0, B: 2}, []*blend.Coating{blendtest.PaleWash}, Options{MaxCoats: 60},
			[]string{"plan.more-hardly-helps", "plan.paler-paint"}},
		"leads away": {paleGreen, colour.Lab{L: 80, A: -30, B: 10}, []*blend.Coating{blendtest.RedWash}, Options{},
			[]string{"plan.all-lead-away", "colour.stronger"}},
	} {
		c.opt.Price = littlePrice
		plan, err := planArea(t.Context(), c.ground, c.target, c.shelf, c.opt)
		require.NoError(t, err, name)
		require.False(t, plan.Reachable, name)
		for _, w := range c.want {
			require.Contains(t, fmt.Sprint(plan.Why), w, name)
		}
	}
}

var paleGreen = colour.Lab{L: 80, A: -12, B: 12}

func TestPlanRefuses(t *testing.T) {
	shelf := []*blend.Coating{blendtest.RedWash}
	nan := colour.Lab{L: math.NaN()}
	for name, c := range map[string]struct {
		code           fault.Code
		ground, target colour.Lab
		shelf          []*blend.Coating
		opt            Options
	}{
		"no coating":            {"plan.no-coating", blendtest.Ash, blendtest.Oak, nil, Options{}},
		"area of no colour":     {"plan.bad-area", nan, blendtest.Oak, shelf, Options{}},
		"target below black":    {"plan.bad-target", blendtest.Ash, colour.Lab{L: -3}, shelf, Options{}},
		"negative tolerance":    {"plan.tolerance", blendtest.Ash, blendtest.Oak, shelf, Options{Tolerance: -1}},
		"tolerance of nothing":  {"plan.tolerance", blendtest.Ash, blendtest.Oak, shelf, Options{Tolerance: math.NaN()}},
		"negative coats":        {"plan.max-coats", blendtest.Ash, blendtest.Oak, shelf, Options{MaxCoats: -2}},
		"more coats than there": {"plan.max-coats", blendtest.Ash, blendtest.Oak, shelf, Options{MaxCoats: 101}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := planArea(t.Context(), c.ground, c.target, c.shelf, c.opt)
			blendtest.RequireFault(t, err, c.code)
		})
	}
}

func TestCoatingStrength(t *testing.T) {
	half := blendtest.RedWash.Strength(0.5)
	require.Equal(t, blendtest.RedWash.Name, half.Name)
	wood := spectra.Smoothest(blendtest.Oak)
	two, one := half.Over(&wood, 2), blendtest.RedWash.Over(&wood, 1)
	require.InDeltaSlice(t, one[:], two[:], 1e-12)
	a, b := half.Limit(), blendtest.RedWash.Limit()
	require.InDeltaSlice(t, b[:], a[:], 1e-12, "thinning does not change what a coating comes to")
	require.Panics(t, func() { blendtest.RedWash.Strength(0) })
	require.True(t, blend.Kind("toner").Known())
	require.False(t, blend.Kind("").Known())
}

func BenchmarkPlanArea(b *testing.B) {
	for b.Loop() {
		if _, err := planArea(b.Context(), blendtest.Ash, colour.Lab{L: 45, A: 0, B: 30}, wholeRack, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "areas/s")
}
