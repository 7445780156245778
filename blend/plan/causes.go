package plan

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A cause is what may lie behind a surprise.
type cause struct {
	what  string  // as a person at the bench would check it
	share float64 // how probable it is among the causes we know of, 0–1
}

// A hypothesis is something that goes otherwise than said. Drawn, it is the colour that a world then has.
type hypothesis struct {
	what string
	draw func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab
}

// How far things go amiss when they do: standard deviations, our own choice.
const (
	mixOff     = 0.7  // of the logarithm of the mix's strength
	uptakeOff  = 0.6  // and of what a surface takes up
	lightOff   = 0.15 // and of the light between two photos
	groundOff  = 10.0 // of the ground's L*, half as much of a* and b*
	leastShare = 0.1  // share from which a cause is worth a word
)

// commonFaults are the mishaps that fit any coat.
var commonFaults = []hypothesis{
	{"the mix was thinner than said, or not stirred up from the bottom", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		return v.altered(a, c, -1, math.Exp(-mixOff*math.Abs(rng.NormFloat64())))
	}},
	{"the mix was stronger than said, or the coat thicker than the test's", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		return v.altered(a, c, -1, math.Exp(mixOff*math.Abs(rng.NormFloat64())))
	}},
	{"the surface was sealed or filled there, and its first coat took up less", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		return v.altered(a, c, 0, math.Exp(-uptakeOff*math.Abs(rng.NormFloat64())))
	}},
	{"the surface was bare, sanded coarser or porous there, and its first coat took up more", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		return v.altered(a, c, 0, math.Exp(uptakeOff*math.Abs(rng.NormFloat64())))
	}},
	{"it is not dry: wet colour is darker and stronger; measure it again tomorrow", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		dry := v.altered(a, c, -1, 1)
		s := spectra.PriorSpectrum(dry)
		wet := blend.ClearCoat{Wetting: 0.2 + 0.7*rng.Float64()}.Over(&s)
		return wet.Lab()
	}},
	{"the ground here is not the one that was measured", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		b := v.initial(a)
		lab := b.mean.Lab()
		lab.L = min(max(lab.L+groundOff*rng.NormFloat64(), 1), 99)
		lab.A += groundOff / 2 * rng.NormFloat64()
		lab.B += groundOff / 2 * rng.NormFloat64()
		other := spectra.PriorSpectrum(lab)
		moved := model{v.problem, &learn.Sample{Coatings: v.sample.Coatings, BoardToPiece: v.sample.BoardToPiece, Seed: v.sample.Seed, Colours: []spectra.Spectrum{other}}}
		there := *a
		there.Mean, there.Light, there.Dark = 0, None, None
		return moved.altered(&there, c, -1, 1)
	}},
	{"the light has changed, or the photo is not tied to the first", func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		x := v.altered(a, c, -1, 1).XYZ()
		brighter := math.Exp(lightOff * rng.NormFloat64())
		return colour.XYZ{X: brighter * x.X, Y: brighter * x.Y, Z: brighter * math.Exp(lightOff/5*rng.NormFloat64()) * x.Z}.Lab()
	}},
}

// altered is the colour of an area after a course whose films are so many times what they should
// be: all coats of its last coating, or, where only is 0, the very first coat.
func (v model) altered(a *Area, c layers, only int, times float64) colour.Lab {
	b := v.initial(a)
	for i, l := range c {
		films := v.films(a, l.coating, l.count, i > 0)
		film := films[l.count]
		switch {
		case only == 0 && i == 0 && l.count > 0:
			film += (times - 1) * films[1]
		case only < 0 && i == len(c)-1:
			film *= times
		}
		b = b.coated(&v.sample.Coatings[l.coating], film)
	}
	return v.appearanceOf(b).mean
}

// causes weighs what may lie behind a reading of an area under a course, by how probable each
// makes what was seen: all are as probable beforehand. Only those worth a word are listed, the
// likeliest first.
func (p *planner) causes(ctx context.Context, a *Area, c layers, reading int) ([]cause, error) {
	mishaps := slices.Concat(commonFaults, p.countFaults(c), p.mixUps(c))
	logs := make([]float64, len(mishaps))
	if err := parallel.For(ctx, len(mishaps), func(i int) {
		const (
			samples = 8   // in each world
			leastSD = 0.3 // of their differences in each of L*, a*, b*, where they are drawn from few
		)
		differences := stat.Moments{Floor: leastSD * leastSD}
		for n, v := range p.drawn {
			rng := rand.New(rand.NewPCG(uint64(n), learn.SeedOf(mishaps[i].what)))
			seen := v.sample.Colours[reading].Lab()
			for range samples {
				differences.Add(labDifference(mishaps[i].draw(v, a, c, rng), seen))
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
	var all []cause
	for i, l := range logs {
		if share := math.Exp(l-most) / sum; share >= leastShare {
			all = append(all, cause{mishaps[i].what, share})
		}
	}
	slices.SortStableFunc(all, func(x, y cause) int {
		switch {
		case x.share > y.share:
			return -1
		case x.share < y.share:
			return 1
		}
		return 0
	})
	return all, nil
}

// countFaults are a coat too few and a coat too many.
func (p *planner) countFaults(c layers) []hypothesis {
	with := func(more int) func(v model, a *Area, c layers, rng *rand.Rand) colour.Lab {
		return func(v model, a *Area, c layers, _ *rand.Rand) colour.Lab {
			d := slices.Clone(c)
			d[len(d)-1].count += more
			return v.altered(a, d, -1, 1)
		}
	}
	if len(c) == 0 || c[len(c)-1].count == 0 {
		return nil
	}
	return []hypothesis{
		{"a coat fewer was laid, or one was wiped off again", with(-1)},
		{"a coat more was laid than was written down", with(1)},
	}
}

// mixUps are the other coatings of the shelf, laid by mistake.
func (p *planner) mixUps(c layers) (all []hypothesis) {
	if len(c) == 0 {
		return nil
	}
	for k := range p.best.sample.Coatings {
		if k == c[len(c)-1].coating {
			continue
		}
		what := fmt.Sprintf("%s was laid instead", p.best.sample.Coatings[k].Name)
		all = append(all, hypothesis{what, func(v model, a *Area, c layers, _ *rand.Rand) colour.Lab {
			d := slices.Clone(c)
			d[len(d)-1].coating = k
			return v.altered(a, d, -1, 1)
		}})
	}
	return all
}
