package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// A base that leads away from the target, for what lies over it to come right, is no reason to
// stop: a good stack of five coats was once to be stopped before the first.
func TestStackIsNotStoppedAtItsBase(t *testing.T) {
	ground := spectra.Smoothest(blendtest.Ash)
	base := blendtest.RedWash.Over(&ground, 2)
	end := blendtest.PaleWash.Over(&base, 3)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, end.Lab())
	problem.Options.Price = cheap
	plan, err := Make(t.Context(), scattered(64, 0.05, []*blend.Coating{blendtest.RedWash, blendtest.PaleWash}, colours), problem)
	require.NoError(t, err)
	a := plan.Choices[0].Areas[0]
	require.Len(t, a.Coats, 2)
	require.Greater(t, a.Path[1].DeltaE, a.Before.Median, "the base leads away")
	require.Less(t, a.Path[1].Overshoot, overshootRisk)
	require.GreaterOrEqual(t, a.StopAfter, a.Coats[0].Count)
	require.Greater(t, a.OneMore.Overshoot, overshootRisk, "one coat too many still is")
}

// A base of one coat more than is good for the end is too much, though every coat over it leads
// nearer.
func TestTooMuchBaseOvershoots(t *testing.T) {
	ground := spectra.Smoothest(blendtest.Ash)
	base := blendtest.RedWash.Over(&ground, 1)
	end := blendtest.PaleWash.Over(&base, 2)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, end.Lab())
	problem.Options.fill()
	v := newPlanner(scattered(0, 0, []*blend.Coating{blendtest.RedWash, blendtest.PaleWash}, colours), &problem).best
	c := layers{{0, 2}, {1, 3}}
	over := v.overshoots(&problem.Areas[0], c, v.appearances(&problem.Areas[0], c), v.target(&problem.Areas[0]))
	require.Equal(t, []bool{false, false, true}, over[:3])
}

// A piece of which some areas have a target and others are to meet once ended in a panic when a
// mix was looked for.
func TestMixWhereSomeHaveTargets(t *testing.T) {
	woods := []wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}}}
	problem, colours := pieceOf(woods, colour.Lab{L: 45, A: 13, B: 22})
	shelf := []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}
	w := scattered(8, 0.1, shelf, colours)
	for range 2 {
		answer, err := Mixes(t.Context(), w, problem, nil)
		require.NoError(t, err)
		require.Len(t, answer.OneMix.Areas, 3)
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		require.Len(t, plan.Choices[0].Areas, 3)
		require.Len(t, plan.Choices[0].Pairs, 1)
		problem.Areas[0], problem.Areas[2] = problem.Areas[2], problem.Areas[0]
	}
}

func TestMixNeedsTwoToMeet(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame})
	_, err := Mixes(t.Context(), scattered(4, 0.1, []*blend.Coating{blendtest.RedWash}, colours), problem, nil)
	blendtest.RequireFault(t, err, "plan.nothing-to-meet")
}

// Where little is known, and it is best not to begin, the count that may be needed is still said,
// and a test is worth its while; it was once "no coat" and "nothing to test".
func TestNoCoatHasARange(t *testing.T) {
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}},
		blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 0.6))
	w := scattered(96, 1.2, []*blend.Coating{blendtest.RedWash}, colours)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	a := plan.Choices[0].Areas[0]
	require.Len(t, a.Path, 1, "best left alone for now")
	require.Equal(t, "red-brown wash", a.Coats[0].Coating)
	require.Zero(t, a.Coats[0].Count)
	require.Zero(t, a.Coats[0].Range[0])
	require.Positive(t, a.Coats[0].Range[1])
	tests, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	require.NotEmpty(t, tests)
}

// An order that would come nearer and does not hold is named, with what would go wrong.
func TestInfeasibleOrderIsNamed(t *testing.T) {
	base, over := *orangeDye, *purpleDye
	base.Family, over.Family = blend.Alcohol, blend.Alcohol
	target := after(&over, after(&base, maple, 1, blend.Sealed), 3, blend.Sealed)
	plan, err := planArea(t.Context(), maple, target, []*blend.Coating{&base, &over}, Options{Price: cheap})
	require.NoError(t, err)
	require.False(t, plan.Reachable)
	require.Len(t, plan.Coats, 1)
	require.NotEmpty(t, plan.infeasible)
	require.Less(t, plan.infeasible[0].deltaE, 2.0)
	require.Contains(t, codes(plan.Why), "plan.order")
	require.Contains(t, codes(plan.Why), "layer.dissolves")

	base.Family = blend.WaterBorne
	plan, err = planArea(t.Context(), maple, target, []*blend.Coating{&base, &over}, Options{Price: cheap})
	require.NoError(t, err)
	require.Empty(t, plan.infeasible, "it holds, and is laid")
	require.Len(t, plan.Coats, 2)
}

// Two glazes are sealed between, and the plan that lays them says so; nothing else is.
func TestGlazesAreSealedBetween(t *testing.T) {
	base, over := *orangeDye, *purpleDye
	target := after(&over, after(&base, maple, 1, blend.Sealed), 3, blend.Sealed)
	plan, err := planArea(t.Context(), maple, target, []*blend.Coating{&base, &over}, Options{Price: cheap})
	require.NoError(t, err)
	require.Len(t, plan.Coats, 2)
	require.Empty(t, plan.Between)
	base.Kind, over.Kind = "glaze", "glaze"
	plan, err = planArea(t.Context(), maple, target, []*blend.Coating{&base, &over}, Options{Price: cheap})
	require.NoError(t, err)
	require.Len(t, plan.Coats, 2)
	require.Len(t, plan.Between, 1)
	require.Equal(t, fault.Code("layer.seal"), plan.Between[0].Code)
}

// What may not lie on the coats that are there is not laid: not by itself, under another, in a
// mix, in a meeting or as a test. A dye that must reach the wood was once planned over a wash.
func TestNothingGoesOnWhatItMayNot(t *testing.T) {
	wash, dye := *blendtest.PaleWash, *blendtest.BrownDye
	wash.Family, dye.Family = blend.WaterBorne, blend.Alcohol
	shelf := []*blend.Coating{&dye, &wash, blendtest.RedWash}
	laid := after(&wash, maple, 2, blend.Sealed)
	woods := []wood{{name: "frame", surface: blend.Sealed, mean: laid}, {name: "panel", surface: blend.Sealed, mean: redPanel.mean}}
	target := after(&dye, laid, 2, blend.Sealed)
	lies := []Layer{{1, 2}}

	problem, colours := pieceOf(woods, target, target)
	problem.Areas[0].Laid, problem.Areas[1].Laid = lies, lies
	w := scattered(48, 0.4, shelf, colours)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	frame := plan.Choices[0].Areas[0]
	for _, c := range plan.Choices {
		for _, a := range c.Areas {
			for _, k := range a.Coats {
				require.NotEqual(t, dye.Name, k.Coating)
			}
		}
	}
	require.Contains(t, codes(frame.Why), "plan.order-over-laid")
	require.Contains(t, codes(frame.Why), "layer.needs-wood")
	last := plan.Single[0][len(plan.Single[0])-1]
	require.Equal(t, dye.Name, last.Coating)
	require.Equal(t, fault.Code("layer.needs-wood"), last.Conflict.Code)

	mix, err := Mixes(t.Context(), w, problem, nil)
	require.NoError(t, err)
	for _, m := range []*MixPlan{mix.OneMix, mix.OneCount} {
		for _, part := range m.Parts {
			require.NotEqual(t, dye.Name, part.Coating)
		}
	}
	tests, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	for _, test := range tests {
		require.False(t, test.Coating == dye.Name && test.On != "", "a test of %s on %s", test.Coating, test.On)
	}

	problem, colours = pieceOf(woods)
	problem.Areas[0].Laid = lies
	plan, err = Make(t.Context(), scattered(16, 0.1, []*blend.Coating{&dye, &wash}, colours), problem)
	require.NoError(t, err)
	for _, c := range plan.Choices {
		for _, k := range c.Areas[0].Coats {
			require.False(t, k.Coating == dye.Name && k.Range[1] > 0, "in a meeting")
		}
	}
}

// A target that is the start is there already, in samples too: leave it.
func TestTargetIsThereAlready(t *testing.T) {
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, blendtest.Ash)
	plan, err := Make(t.Context(), scattered(96, 0.2, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze}, colours), problem)
	require.NoError(t, err)
	require.Empty(t, plan.Choices[0].Areas[0].Coats)
	require.True(t, plan.Choices[0].Areas[0].Reachable)
	require.Greater(t, plan.Choices[0].Areas[0].Within, 0.9)
}

// Every two areas are told apart, before and after; the worst of them is the worst.
func TestMeetTellsEveryPair(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}}})
	plan, err := Make(t.Context(), scattered(16, 0.1, []*blend.Coating{blendtest.MudGlaze}, colours), problem)
	require.NoError(t, err)
	for _, c := range plan.Choices {
		require.Len(t, c.Pairs, 3)
		before, after := 0.0, 0.0
		for _, p := range c.Pairs {
			before, after = math.Max(before, p.Before.Median), math.Max(after, p.After.Median)
			require.LessOrEqual(t, p.After.Low, p.After.High)
		}
		require.LessOrEqual(t, after, c.Worst.Median+1e-12, "the worst of the pairs differs from sample to sample")
		require.GreaterOrEqual(t, before, after)
	}
}
