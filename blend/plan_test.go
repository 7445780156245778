package blend

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

var (
	darkDye   = invented("dark dye", "dye", func(float64) Film { return Film{K: 0.1} })
	paleWash  = invented("pale wash", "wash", func(nm float64) Film { return Film{K: 0.004 + 0.02/(1+math.Exp((nm-460)/20)), S: 0.25} })
	mudGlaze  = invented("mud glaze", "glaze", func(nm float64) Film { return Film{K: 0.35 - 0.2*(nm-380)/350, S: 0.15} })
	wholeRack = []*Coating{redWash, darkDye, paleWash, mudGlaze}
)

// A target made by laying coats is found again, whichever coating made it.
func TestPlanFindsTheCoatsThatMadeTheTarget(t *testing.T) {
	for _, wood := range []colour.Lab{ash, oak, sapele, walnut} {
		for _, c := range wholeRack {
			for n := 1; n <= 6; n++ {
				target := colourOver(c, wood, float64(n))
				plan, err := PlanArea(t.Context(), wood, target, wholeRack, PlanOptions{})
				require.NoError(t, err)
				require.True(t, plan.Reachable)
				require.Empty(t, plan.Why)
				require.LessOrEqual(t, plan.After, worthACoat)
				if colour.DeltaE2000(colourOver(c, wood, float64(n-1)), target) > 2*worthACoat {
					require.Equal(t, []CoatCount{{c.Name, n, [2]int{n, n}}}, plan.Coats, "%s on %v", c.Name, wood)
				}
			}
		}
	}
}

// No count and no coating by itself ends nearer than the plan, by more than a coat is worth.
func TestPlanIsTheBestThereIs(t *testing.T) {
	targets := []colour.Lab{ash, oak, sapele, walnut, {L: 30, A: 12, B: 8}, {L: 60, A: -20, B: 20}, {L: 90, A: 0, B: 4}}
	for _, wood := range []colour.Lab{ash, oak, sapele, walnut} {
		for _, target := range targets {
			plan, err := PlanArea(t.Context(), wood, target, wholeRack, PlanOptions{})
			require.NoError(t, err)
			for _, c := range wholeRack {
				for n := 1; n <= 12; n++ {
					e := colour.DeltaE2000(target, colourOver(c, wood, float64(n)))
					require.GreaterOrEqual(t, e, plan.After-worthACoat, "%d %s on %v to %v", n, c.Name, wood, target)
				}
			}
			require.LessOrEqual(t, plan.After, plan.Before)
			require.Equal(t, plan.After <= 2, plan.Reachable)
			require.Equal(t, plan.Reachable, plan.Why == "")
		}
	}
}

func TestPlanPath(t *testing.T) {
	target := colourOver(redWash, ash, 3)
	plan, err := PlanArea(t.Context(), ash, target, []*Coating{redWash}, PlanOptions{})
	require.NoError(t, err)
	require.Len(t, plan.Path, 4)
	for n, s := range plan.Path {
		require.Equal(t, n, s.Coats)
		require.InDelta(t, colour.DeltaE2000(target, s.Lab), s.DeltaE, 1e-12)
		require.InDelta(t, 0, colour.DeltaE2000(colourOver(redWash, ash, float64(n)), s.Lab), 1e-5)
	}
	require.InDelta(t, 0, colour.DeltaE76(ash, plan.Path[0].Lab), 1e-9, "the area as it was measured")
	require.Equal(t, plan.Before, plan.Path[0].DeltaE)
	require.Equal(t, plan.After, plan.Path[3].DeltaE)
	require.Equal(t, 4, plan.Beyond.Coats)
	require.Equal(t, colourOver(redWash, ash, 4), plan.Beyond.Lab)
	require.Len(t, plan.Options, 1)
}

func TestPlanNothingToDo(t *testing.T) {
	plan, err := PlanArea(t.Context(), ash, ash, wholeRack, PlanOptions{})
	require.NoError(t, err)
	require.Empty(t, plan.Coats)
	require.Zero(t, plan.After)
	require.True(t, plan.Reachable)
	require.Len(t, plan.Path, 1)
	require.Equal(t, 1, plan.Beyond.Coats)
	require.Equal(t, plan.Options[0].Coating, plan.Beyond.Coating)
	require.Len(t, plan.Options, len(wholeRack))
}

// A stack is laid in order, when a single coating does not do and the stack clearly does.
func TestPlanStacks(t *testing.T) {
	wood := colour.SpectrumOf(ash)
	between := redWash.Over(&wood, 2)
	end := paleWash.Over(&between, 3)
	plan, err := PlanArea(t.Context(), ash, end.Lab(), wholeRack, PlanOptions{})
	require.NoError(t, err)
	require.Equal(t, []CoatCount{{"red-brown wash", 2, [2]int{2, 2}}, {"pale wash", 3, [2]int{3, 3}}}, plan.Coats)
	require.InDelta(t, 0, plan.After, 1e-9)
	require.Len(t, plan.Path, 6)
	require.Equal(t, []string{"", "red-brown wash", "red-brown wash", "pale wash", "pale wash", "pale wash", "pale wash"}, uppermost(plan))
	require.Greater(t, plan.Options[0].DeltaE, 2+stackGain)

	plan, err = PlanArea(t.Context(), ash, end.Lab(), wholeRack, PlanOptions{Tolerance: 30})
	require.NoError(t, err)
	require.LessOrEqual(t, len(plan.Coats), 1, "one coating does")
	plan, err = PlanArea(t.Context(), ash, end.Lab(), wholeRack, PlanOptions{MaxCoats: 4})
	require.NoError(t, err)
	require.LessOrEqual(t, len(plan.Path), 5, "no more coats than allowed in all")
}

func uppermost(p AreaPlan) (names []string) {
	for _, s := range append(p.Path, p.Beyond) {
		names = append(names, s.Coating)
	}
	return names
}

// Where it is best to lay nothing, one coat more is one of the coating that strays least,
// whatever the order of the shelf. It was once of whichever coating stood first.
func TestPlanBeyondNothing(t *testing.T) {
	for _, shelf := range [][]*Coating{{mudGlaze, redWash, darkDye}, {darkDye, redWash, mudGlaze}} {
		plan, err := PlanArea(t.Context(), ash, ash, shelf, PlanOptions{})
		require.NoError(t, err)
		require.Empty(t, plan.Coats)
		require.Equal(t, plan.Options[0].Coating, plan.Beyond.Coating)
		for _, c := range shelf {
			require.LessOrEqual(t, plan.Beyond.DeltaE, colour.DeltaE2000(ash, colourOver(c, ash, 1))+1e-9, c.Name) // two ways to one figure, rounded each in its own
		}
	}
}

// Bleach and pale pigment are only spoken of where the wood is darker than the target, not where
// the coats are.
func TestPlanBleachesNoPaleWood(t *testing.T) {
	plan, err := PlanArea(t.Context(), ash, colour.Lab{L: 70, A: 60, B: 40}, []*Coating{redWash}, PlanOptions{})
	require.NoError(t, err)
	require.NotEmpty(t, plan.Coats)
	require.Contains(t, plan.Why, "lighter")
	require.NotContains(t, plan.Why, "bleach")
}

func TestPlanSaysWhy(t *testing.T) {
	for name, c := range map[string]struct {
		ground, target colour.Lab
		shelf          []*Coating
		opt            PlanOptions
		want           []string
	}{
		"thin dark coats do not lighten": {walnut, ash, []*Coating{redWash, darkDye}, PlanOptions{},
			[]string{"much darker", "no coating on the shelf lightens", "bleach"}},
		"between counts": {ash, colourOver(redWash, ash, 1.5), []*Coating{redWash}, PlanOptions{},
			[]string{"falls between 1 and 2 coats of red-brown wash", "thinned to 75 % of its strength", "in 2 coats"}},
		"less than one": {ash, colourOver(redWash, ash, 0.4), []*Coating{redWash}, PlanOptions{},
			[]string{"falls short of one coat", "thinned to 40 % of its strength", "in 1 coat"}},
		"too few allowed": {ash, colourOver(redWash, ash, 5), []*Coating{redWash}, PlanOptions{MaxCoats: 3},
			[]string{"3 coats are not enough", "a stronger mix or more coats would do"}},
		"too few allowed, and never enough": {ash, colour.Lab{L: 20, A: 30, B: 15}, []*Coating{redWash}, PlanOptions{MaxCoats: 3},
			[]string{"3 coats are not enough", "never come nearer than", "what is missing is a coating that makes it much darker"}},
		"wrong hue": {ash, colour.Lab{L: 60, A: -20, B: 20}, []*Coating{redWash, darkDye}, PlanOptions{},
			[]string{"what is missing is a coating that makes it", "greener"}},
		"at the limit": {walnut, colour.Lab{L: 95, A: 0, B: 2}, []*Coating{paleWash}, PlanOptions{MaxCoats: 60},
			[]string{"hardly come nearer: so thick that nothing shows through", "bleach"}},
		"leads away": {paleGreen, colour.Lab{L: 80, A: -30, B: 10}, []*Coating{redWash}, PlanOptions{},
			[]string{"every coating on the shelf leads away", "stronger"}},
	} {
		plan, err := PlanArea(t.Context(), c.ground, c.target, c.shelf, c.opt)
		require.NoError(t, err, name)
		require.False(t, plan.Reachable, name)
		for _, w := range c.want {
			require.Contains(t, plan.Why, w, name)
		}
	}
}

var paleGreen = colour.Lab{L: 80, A: -12, B: 12}

func TestPlanRefuses(t *testing.T) {
	shelf := []*Coating{redWash}
	nan := colour.Lab{L: math.NaN()}
	for want, c := range map[string]struct {
		ground, target colour.Lab
		shelf          []*Coating
		opt            PlanOptions
	}{
		"no coating to plan with":           {ash, oak, nil, PlanOptions{}},
		"area: its colour is not a number":  {nan, oak, shelf, PlanOptions{}},
		"target: no surface has the colour": {ash, colour.Lab{L: -3}, shelf, PlanOptions{}},
		"a tolerance of -1":                 {ash, oak, shelf, PlanOptions{Tolerance: -1}},
		"a tolerance of NaN":                {ash, oak, shelf, PlanOptions{Tolerance: math.NaN()}},
		"at most -2 coats":                  {ash, oak, shelf, PlanOptions{MaxCoats: -2}},
		"at most 101 coats":                 {ash, oak, shelf, PlanOptions{MaxCoats: 101}},
	} {
		_, err := PlanArea(t.Context(), c.ground, c.target, c.shelf, c.opt)
		requireHint(t, err, want)
	}
}

func TestCoatingStrength(t *testing.T) {
	half := redWash.Strength(0.5)
	require.Equal(t, redWash.Name, half.Name)
	wood := colour.SpectrumOf(oak)
	two, one := half.Over(&wood, 2), redWash.Over(&wood, 1)
	require.InDeltaSlice(t, one[:], two[:], 1e-12)
	a, b := half.Limit(), redWash.Limit()
	require.InDeltaSlice(t, b[:], a[:], 1e-12, "thinning does not change what a coating comes to")
	require.Panics(t, func() { redWash.Strength(0) })
	require.True(t, Kind("toner").Known())
	require.False(t, Kind("").Known())
}

func BenchmarkPlanArea(b *testing.B) {
	for b.Loop() {
		if _, err := PlanArea(b.Context(), ash, colour.Lab{L: 45, A: 0, B: 30}, wholeRack, PlanOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "areas/s")
}
