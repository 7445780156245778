package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// A smearBench mixes two measured paints that are stronger or weaker in mixes than by themselves, and are known by their chips alone.
type smearBench struct {
	*makingBench
	paints   [2]*blend.Coating
	strength [2]float64
}

// mixed returns what so many parts of the paints truly make.
func (b *smearBench) mixed(parts [2]float64) *blend.Coating {
	var all []blend.Part
	for i, c := range b.paints {
		if parts[i] > 0 && parts[1-i] > 0 {
			c = c.Strength(b.strength[i])
		}
		if parts[i] > 0 {
			all = append(all, blend.Part{Coating: c, Parts: parts[i]})
		}
	}
	return blend.Mix("", "paint", all...)
}

// propose asks for a mix that brings a wood to a target, and returns its parts and how far from the target it truly ends. smeared are mixes
// that have been seen.
func (b *smearBench) propose(t testing.TB, target spectra.Spectrum, smeared ...[2]float64) (parts [2]float64, off float64, mix *MixPlan) {
	chip := func(c *blend.Coating) learn.Evidence {
		m := b.read(c.Limit())
		return learn.Evidence{Chip: &m}
	}
	b.reseed(7)
	d := learn.Dataset{Colours: []learn.Measured{b.read(b.pale), b.read(target)}}
	problem := Problem{Areas: []Area{{Name: "door", Surface: blend.Sealed, Mean: 0, Light: None, Dark: None, Target: 1}}}
	for _, c := range b.paints {
		d.Shelf = append(d.Shelf, learn.ShelfCoating{Name: c.Name, Kind: "paint", Share: 1, Evidence: chip(c)})
	}
	for _, s := range smeared {
		problem.Mixed = append(problem.Mixed, len(d.Shelf))
		d.Shelf = append(d.Shelf, learn.ShelfCoating{Name: "mix", Kind: "paint", Share: 1, Evidence: chip(b.mixed(s)),
			Parts: []learn.MixedPart{{Coating: b.paints[0].Name, Parts: s[0]}, {Coating: b.paints[1].Name, Parts: s[1]}}})
	}
	w, err := d.Draw(t.Context(), learn.Options{Draws: 16})
	require.NoError(t, err)
	if len(smeared) > 0 { // of the paints anew, not of the mix that is there
		problem.TouchUp = problem.Mixed
	}
	answer, err := Mixes(t.Context(), w, problem, nil)
	require.NoError(t, err)
	mix = answer.OneMix
	all := float64(mix.Water)
	for _, p := range mix.Parts {
		at := slices.IndexFunc(b.paints[:], func(c *blend.Coating) bool { return c.Name == p.Coating })
		parts[at] = float64(p.Parts)
		all += parts[at]
	}
	made := b.mixed(parts)
	end := made.Over(&b.pale, float64(mix.Areas[0].Coats)*(parts[0]+parts[1])/all)
	return parts, colour.DeltaE2000(target.Lab(), end.Lab()), mix
}

// TestSmearMendsTheNextMix asks for a mix of two paints whose strengths in mixes are not what their chips let expect, lays a smear of what
// is proposed, tells of it, and asks again. What is said of how far the mix may end holds before and after.
func TestSmearMendsTheNextMix(t *testing.T) {
	b := &smearBench{makingBench: newMakingBench(t, &truth{})}
	all := blendtest.ReadPalette(t).Paints(blendtest.Making{})
	named := func(name string) *blend.Coating {
		return all[slices.IndexFunc(all, func(c *blend.Coating) bool { return c.Name == name })]
	}
	rng := rand.New(rand.NewPCG(19, 5))
	var before, after []float64
	held, trials := 0.0, 0.0
	for _, dark := range []string{"09A", "13B", "09D", "17F", "16B"} {
		for range figure.Draws(4, 16) {
			b.paints = [2]*blend.Coating{named("07B"), named(dark)}
			b.strength = [2]float64{math.Exp(rng.NormFloat64()), math.Exp(rng.NormFloat64())}
			target := b.mixed([2]float64{float64(2 + rng.IntN(5)), 1}).Limit()
			parts, off, first := b.propose(t, target)
			if parts[0] == 0 || parts[1] == 0 {
				continue
			}
			require.True(t, first.Guess)
			_, again, second := b.propose(t, target, parts)
			require.False(t, second.Guess)
			before, after = append(before, off), append(after, again)
			trials++
			if again <= second.DeltaE.High {
				held++
			}
		}
	}
	x, y := stat.Quantile(before, 0.5), stat.Quantile(after, 0.5)
	figure.Report(t, "mixtures/proposed", "%.1f, after a smear %.1f of %.0f, within what is said %.0f %%", x, y, trials, 100*held/trials)
	require.Greater(t, trials, 5.0)
	require.Less(t, y, 0.7*x)
	figure.AtLeast(t, 0.8, held/trials, trials)
}
