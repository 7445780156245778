package learn

import (
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
)

// The unknowns of a wood that absorbs, beyond those of its coating: how far the logarithm of its uptake, and the normal deviate
// of its wetting, are from the coating's mean over woods. Sapwood takes up more than heartwood (common practice, no source).
const unknownsPerWood = 2

// woodAt is where the unknowns of a wood begin among those of a component; woods are numbered from 1.
func woodAt(wood int) int { return unknowns + unknownsPerWood*(wood-1) }

// How far woods are from the coating's mean: woodWettingSD is the standard deviation of the normal deviate of the wetting, and
// woodUptakeShare that of the logarithm of the uptake over the standard deviation of the mean itself. Our own choice:
// TestSapwoodAndHeartwood tries them where woods differ and where they do not.
const (
	woodWettingSD   = 0.6
	woodUptakeShare = 0.7
)

// woods returns the names of the woods that absorb and have tests, in order.
func (e *Evidence) woods() (all []string) {
	for i := range e.Tests {
		if t := &e.Tests[i]; t.Surface.Absorbs() && t.Wood != "" {
			all = append(all, t.Wood)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// woodOf returns the number of a test's wood, 0 where it has none or does not absorb.
func (c *coatingComponent) woodOf(t *TestCoat) int {
	if !t.Surface.Absorbs() {
		return 0
	}
	return 1 + slices.Index(c.woods, t.Wood)
}

// pointOn returns the unknowns of the coating as it is on a wood.
func (c *coatingComponent) pointOn(wood int, at []float64) point {
	p := point(at)
	if wood > 0 {
		own := at[woodAt(wood):]
		p[atUptake] += own[0]
		p[atBareWetting] += own[1]
	}
	return p
}

// addWoods adds the priors of the woods.
func (c *coatingComponent) addWoods(l *priorTerms, p *prior) {
	for w := range c.woods {
		for i, sd := range [unknownsPerWood]float64{woodUptakeShare * p.uptakeSD, woodWettingSD} {
			row := make([]float64, c.size())
			row[woodAt(w+1)+i] = 1 / sd
			l.add(0, row)
		}
	}
}

// An absorption is how a coating is absorbed: by woods in the mean, and by single ones.
type absorption struct {
	uptake, porous, wetting float64 // as the unknowns have them
	uptakeSD                float64 // of a wood about the mean
	woods                   map[string][unknownsPerWood]float64
}

func (c *coatingComponent) absorption(at []float64) absorption {
	a := absorption{
		uptake: at[atUptake], porous: at[atPorous], wetting: at[atBareWetting],
		uptakeSD: woodUptakeShare * priorOf(c.coating.Kind, c.coating.Share).uptakeSD, woods: map[string][unknownsPerWood]float64{},
	}
	for w, name := range c.woods {
		a.woods[name] = [unknownsPerWood]float64(at[woodAt(w+1):])
	}
	return a
}

// On returns coating k of the shelf as a wood absorbs it: one that has tests as they tell, another as woods in the mean or, in a
// drawn sample, as it may. It depends on the names of wood and coating, not on their order.
func (s *Sample) On(k int, wood string) *blend.Coating {
	c := &s.Coatings[k]
	if wood == "" || k >= len(s.absorption) {
		return c
	}
	a := &s.absorption[k]
	own, known := a.woods[wood]
	if !known {
		if s.Seed == 0 {
			return c
		}
		rng := rand.New(rand.NewPCG(s.Seed, SeedOf("wood", wood, c.Name)))
		own = [unknownsPerWood]float64{a.uptakeSD * rng.NormFloat64(), woodWettingSD * rng.NormFloat64()}
	}
	on := *c
	on.Uptake, on.PorousUptake = math.Exp(a.uptake+own[0]), math.Exp(a.uptake+a.porous+own[0])
	on.Wetting, _ = shareOf(a.wetting + own[1])
	return &on
}
