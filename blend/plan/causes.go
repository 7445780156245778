package plan

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A cause is what may lie behind a surprise.
type cause struct {
	what  fault.Note // as a person at the bench would check it
	share float64    // posterior probability among the causes we know of, 0–1
}

// A hypothesis is one thing that may have gone otherwise than said.
type hypothesis struct {
	what fault.Note // also the seed of its draws
	draw sampler
}

// A sampler draws the colour that an area then has under layers, in one sample.
type sampler func(m model, a *Area, ls layers, rng *rand.Rand) colour.Lab

// How far things go amiss when they do: standard deviations, our own choice.
const (
	mixOff     = 0.7  // of the logarithm of the mix's strength
	uptakeOff  = 0.6  // and of what a surface takes up
	lightOff   = 0.15 // and of the light between two photos
	groundOff  = 10.0 // of the ground's L*, half as much of a* and b*
	leastShare = 0.1  // share from which a cause is worth a word
)

// commonFaults are the hypotheses that fit any coat.
var commonFaults = []hypothesis{
	{fault.Say("plan.thin-mix"), stronger(topCoating, -mixOff)},
	{fault.Say("plan.strong-mix"), stronger(topCoating, mixOff)},
	{fault.Say("plan.sealed-surface"), stronger(firstCoat, -uptakeOff)},
	{fault.Say("plan.bare-surface"), stronger(firstCoat, uptakeOff)},
	{fault.Say("plan.still-wet"), wet},
	{fault.Say("plan.other-wood"), otherGround},
	{fault.Say("plan.other-light"), otherLight},
}

// What of some layers is altered.
const (
	topCoating = iota // all coats of the uppermost coating
	firstCoat
)

// altered returns the colour of an area under layers of which some films are factor times what they should be.
func (m model) altered(a *Area, ls layers, which int, factor float64) colour.Lab {
	r := m.initial(a)
	for i, l := range ls {
		films := m.films(a, l.Coating, l.Coats, i > 0)
		film := films[l.Coats]
		if l.Coats > 0 {
			r = m.ground(r, a, l.Coating, i > 0)
		}
		switch {
		case which == firstCoat && i == 0 && l.Coats > 0:
			film += (factor - 1) * films[1]
		case which == topCoating && i == len(ls)-1:
			film *= factor
		}
		r = r.coated(&m.sample.Coatings[l.Coating], film)
	}
	return m.appearanceOf(r).mean
}

// asSaid returns the colour of an area where all went as said.
func (m model) asSaid(a *Area, ls layers) colour.Lab { return m.altered(a, ls, topCoating, 1) }

// stronger draws films whose logarithm is off by the half-normal distribution of that scale and sign.
func stronger(which int, off float64) sampler {
	return func(m model, a *Area, ls layers, rng *rand.Rand) colour.Lab {
		return m.altered(a, ls, which, math.Exp(off*math.Abs(rng.NormFloat64())))
	}
}

func wet(m model, a *Area, ls layers, rng *rand.Rand) colour.Lab {
	dry := spectra.PriorSpectrum(m.asSaid(a, ls))
	seen := blend.ClearCoat{Wetting: 0.2 + 0.7*rng.Float64()}.Over(&dry)
	return seen.Lab()
}

func otherGround(m model, a *Area, ls layers, rng *rand.Rand) colour.Lab {
	lab := m.sample.Colours[a.Mean].Lab()
	lab.L = min(max(lab.L+groundOff*rng.NormFloat64(), 1), 99)
	lab.A += groundOff / 2 * rng.NormFloat64()
	lab.B += groundOff / 2 * rng.NormFloat64()
	there := *a
	there.Mean, there.Light, there.Dark, there.BareLight, there.BareDark = 0, None, None, None, None
	other := *m.sample
	other.Colours = []spectra.Spectrum{spectra.PriorSpectrum(lab)}
	return model{m.problem, &other}.asSaid(&there, ls)
}

func otherLight(m model, a *Area, ls layers, rng *rand.Rand) colour.Lab {
	x := m.asSaid(a, ls).XYZ()
	brighter := math.Exp(lightOff * rng.NormFloat64())
	return colour.XYZ{X: brighter * x.X, Y: brighter * x.Y, Z: brighter * math.Exp(lightOff/5*rng.NormFloat64()) * x.Z}.Lab()
}

// causes returns the posterior probabilities of the hypotheses about a reading of an area under layers, from a
// uniform prior: those of at least leastShare, the most probable first.
func (p *planner) causes(ctx context.Context, a *Area, ls layers, reading int) ([]cause, error) {
	all := slices.Concat(commonFaults, countFaults(ls), p.mixUps(ls))
	logs := make([]float64, len(all)) // log likelihoods
	if err := parallel.For(ctx, len(all), func(i int) {
		const (
			draws   = 8   // in each sample
			leastSD = 0.3 // of their differences in each of L*, a*, b*, where they are drawn from few
		)
		differences := stat.Moments{Floor: leastSD * leastSD}
		for n, m := range p.drawn {
			rng := rand.New(rand.NewPCG(uint64(n), learn.SeedOf(all[i].what.String())))
			seen := m.sample.Colours[reading].Lab()
			for range draws {
				differences.Add(labDifference(all[i].draw(m, a, ls, rng), seen))
			}
		}
		logs[i] = differences.LogDensity([3]float64{})
	}); err != nil {
		return nil, err
	}
	most, sum := slices.Max(logs), 0.0
	for _, l := range logs {
		sum += math.Exp(l - most)
	}
	var causes []cause
	for i, l := range logs {
		if share := math.Exp(l-most) / sum; share >= leastShare {
			causes = append(causes, cause{all[i].what, share})
		}
	}
	slices.SortStableFunc(causes, func(x, y cause) int { return cmp.Compare(y.share, x.share) })
	return causes, nil
}

// countFaults are a coat too few and a coat too many.
func countFaults(ls layers) []hypothesis {
	top := len(ls) - 1
	if top < 0 || ls[top].Coats == 0 {
		return nil
	}
	with := func(more int) sampler {
		return func(m model, a *Area, ls layers, _ *rand.Rand) colour.Lab {
			return m.asSaid(a, ls.with(top, ls[top].Coats+more))
		}
	}
	return []hypothesis{
		{fault.Say("plan.coat-fewer"), with(-1)},
		{fault.Say("plan.coat-more"), with(1)},
	}
}

// mixUps are the other coatings of the shelf, laid by mistake.
func (p *planner) mixUps(ls layers) (all []hypothesis) {
	top := len(ls) - 1
	if top < 0 {
		return nil
	}
	for k, c := range p.shelf() {
		if k == ls[top].Coating {
			continue
		}
		what := fault.Say("plan.other-coating", "coating", c.Name)
		all = append(all, hypothesis{what, func(m model, a *Area, ls layers, _ *rand.Rand) colour.Lab {
			other := slices.Clone(ls)
			other[top].Coating = k
			return m.asSaid(a, other)
		}})
	}
	return all
}
