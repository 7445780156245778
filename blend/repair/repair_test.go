package repair

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/internal/fault"
)

// someWood is a repair among patches of a wood that varies mostly along one line, lighter and yellower
// or darker and redder; the repair is one more patch of it.
func someWood(seed uint64) *Appearance {
	rng := rand.New(rand.NewPCG(seed, 1))
	texture := func(by float64) colour.Texture {
		lab := func(l float64) colour.Lab {
			return colour.Lab{L: l + by, A: 12 - 0.3*by + 0.1*rng.NormFloat64(), B: 22 + 0.4*by + 0.1*rng.NormFloat64()}
		}
		return colour.Texture{
			Mean: lab(50), Ground: lab(55), Figure: lab(44), Spread: 4 + 0.4*rng.NormFloat64(),
			Grain: 1 + 0.1*rng.NormFloat64(), Along: 90 + 3*rng.NormFloat64(), Coherence: 0.8,
		}
	}
	seen := &Appearance{Size: 10}
	for i := range 301 {
		b := colour.PatchAndRing{
			X: float64(20 * i), Patch: texture(2 * rng.NormFloat64()), Ring: texture(rng.NormFloat64()), Line: 0.2 * rng.NormFloat64(),
		}
		if i == 300 {
			seen.Repair = b
		} else {
			seen.Patches = append(seen.Patches, b)
		}
	}
	return seen
}

func moved(l *Appearance, by colour.Lab) *Appearance {
	p := &l.Repair.Patch
	for _, c := range []*colour.Lab{&p.Mean, &p.Ground, &p.Figure} {
		*c = colour.Lab{L: c.L + by.L, A: c.A + by.A, B: c.B + by.B}
	}
	return l
}

// A repair that is one more patch ranks anywhere: about as often in each quarter.
func TestRankOfOneMorePatch(t *testing.T) {
	const n = 120
	var quarters [4]int
	for i := range n {
		rank := someWood(uint64(i)).rank()
		quarters[min(int(rank.Of100/25), 3)]++
		require.Equal(t, 300, rank.Patches)
	}
	for _, q := range quarters {
		require.InDelta(t, n/4, q, 4*4.75, "%v", quarters) // four standard deviations of a binomial count of 120, ¼
	}
}

// A colour off the wood's line is unlike at once, where the same step along it is common.
func TestRankInTheWoodsOwnMetric(t *testing.T) {
	along, off := colour.Lab{L: 1.5, A: -0.45, B: 0.6}, colour.Lab{L: 0, A: 1.2, B: 1.2}
	n, unlikeOff := 30, 0
	lower := 0
	for i := range n {
		a, o := moved(someWood(uint64(i)), along).rank(), moved(someWood(uint64(i)), off).rank()
		if o.ByAspect[aspectColour] > 95 {
			unlikeOff++
		}
		if a.ByAspect[aspectColour] < o.ByAspect[aspectColour] {
			lower++
		}
	}
	require.Equal(t, n, unlikeOff)
	require.Equal(t, n, lower)
}

func TestJudge(t *testing.T) {
	unlike := Rank{Of100: 99}
	seen, unseen := View{Rank: unlike, Seen: true}, View{Rank: unlike}
	for _, c := range []struct {
		near View
		far  []View
		want Verdict
	}{
		{View{Rank: Rank{Of100: 95}}, nil, Reads},
		{unseen, nil, Slight},
		{seen, nil, Shows},
		{seen, []View{unseen, unseen, unseen}, Slight},
		{seen, []View{seen, unseen, unseen}, ShowNear},
		{seen, []View{seen, seen, seen}, Shows},
	} {
		require.Equal(t, c.want, Judge(c.near, c.far))
	}
}

// Each kind of unlikeness is seen, said, and answered by advice of its own.
func TestWhyAndAdvice(t *testing.T) {
	for _, c := range []struct {
		does      func(p *colour.PatchAndRing)
		why, next fault.Code
	}{
		{func(b *colour.PatchAndRing) { b.Patch.Spread, b.Patch.Grain = 0.3, 0.1 },
			"view.flat", "mend.draw-grain"},
		{func(b *colour.PatchAndRing) { b.Line = -3 }, "view.dark-edge", "mend.break-outline"},
		{func(b *colour.PatchAndRing) { b.Patch.Along = 150 }, "view.turned", "mend.turn-grain"},
		{func(b *colour.PatchAndRing) { b.Patch.Mean.A += 5 }, "view.colour", "mend.wants"},
	} {
		seen := someWood(7)
		seen.Repair.Ring.Along = 90
		c.does(&seen.Repair)
		view := seen.ViewFrom(0)
		require.True(t, view.Seen, c.why)
		require.Contains(t, codes(view.Why(seen)), c.why)
		require.Contains(t, codes(Advise(view, seen, nil, 0.3)), c.next)
	}
	seen := someWood(7)
	require.Equal(t, []fault.Code{"mend.leave"}, codes(Advise(seen.ViewFrom(0), seen, []blend.Coating{*blendtest.BrownDye}, 0.8)))
}

func codes(notes []fault.Note) (all []fault.Code) {
	for _, n := range notes {
		all = append(all, n.Code)
	}
	return all
}

// A touch is advised where it brings a pale spot nearer, and none where the spot is darker than its wood;
// a dark round spot in grain may become a knot.
func TestBestTouch(t *testing.T) {
	pale := moved(someWood(1), colour.Lab{L: 14, A: -4, B: 4})
	touch, ok := bestTouch(pale, []blend.Coating{*blendtest.BrownDye})
	require.True(t, ok)
	require.Less(t, touch.deltaE, touch.before-colour.Perceptible)
	require.InDelta(t, touch.deltaE, colour.DeltaE2000(pale.Repair.Ring.Mean, touch.after), 1e-9)
	require.Less(t, touch.after.L, pale.Repair.Patch.Mean.L, "a dye darkens")

	dark := moved(someWood(1), colour.Lab{L: -12})
	_, ok = bestTouch(dark, []blend.Coating{*blendtest.BrownDye})
	require.False(t, ok)
	advice := codes(Advise(dark.ViewFrom(0), dark, []blend.Coating{*blendtest.BrownDye}, 0.85))
	require.Contains(t, advice, fault.Code("mend.too-dark"))
	require.Contains(t, advice, fault.Code("mend.make-a-knot"))
}

// What has one colour in daylight may part under a lamp, and guesses say how far; the spread of the
// guesses does not vanish for equal colours, since they say nothing of the stuff.
func TestLightRisks(t *testing.T) {
	seen := someWood(1)
	seen.Repair.Patch.Mean = seen.Repair.Ring.Mean
	risks := LightRisks(seen)
	require.Len(t, risks, 2)
	for _, r := range risks {
		require.Zero(t, r.Now)
		require.Positive(t, r.Median)
		require.Greater(t, r.High, r.Median)
		require.True(t, r.Breaks >= 0 && r.Breaks <= 1)
	}
	require.Equal(t, risks, LightRisks(seen), "the same guesses each time")
}

// Grain has a direction but no head: 175° and 5° are 10° apart.
func TestGrainTurnsByHalfACircle(t *testing.T) {
	require.InDelta(t, -10, turned(175, 5), 1e-12)
	require.InDelta(t, 10, turned(5, 175), 1e-12)
	require.InDelta(t, 60, turned(150, 90), 1e-12)
}
