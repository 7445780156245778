package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// anyCoating is a coating drawn at random: smooth absorption and scattering over three decades.
func anyCoating(rng *rand.Rand, name string) *blend.Coating {
	level, edge, scatter := math.Exp(3*rng.Float64()-3), 420+250*rng.Float64(), math.Exp(4*rng.Float64()-4)
	floor := rng.Float64()
	return blendtest.Invented(name, "wash", func(nm float64) blend.Film {
		return blend.Film{K: level * (floor + blendtest.Sigmoid(1, 0, (nm-edge)/25)), S: scatter}
	})
}

func anyWood(rng *rand.Rand) colour.Lab {
	return colour.Lab{L: 35 + 50*rng.Float64(), A: 2 + 15*rng.Float64(), B: 10 + 20*rng.Float64()}
}

// What holds of any coating on any wood.
func TestLawsOfCoats(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	for range 300 {
		c, lab := anyCoating(rng, "any"), anyWood(rng)
		wood := spectra.Smoothest(lab)
		two := c.Over(&wood, 2)
		five, again := c.Over(&wood, 5), c.Over(&two, 3)
		require.InDeltaSlice(t, five[:], again[:], 1e-9, "two coats, then three, are five")

		dye := *c
		white := *c
		for i := range dye.Films {
			dye.Films[i].S, white.Films[i].K = 0, 0
		}
		dyed, whitened := dye.Over(&wood, 1.5), white.Over(&wood, 1.5)
		require.LessOrEqual(t, dyed.Lab().L, wood.Lab().L+1e-9, "a dye never lightens")
		require.GreaterOrEqual(t, whitened.Lab().L, wood.Lab().L-1e-9, "a white never darkens")

		thick, limit := c.Over(&wood, 900), c.Limit()
		if c.Films[0].S > 0.02 {
			require.Less(t, colour.DeltaE2000(thick.Lab(), limit.Lab()), 0.5, "so thick that the ground no longer shows")
		}
		stronger, twice := c.Strength(2).Over(&wood, 1), c.Over(&wood, 2)
		require.InDeltaSlice(t, twice[:], stronger[:], 1e-12, "twice the paint is two coats")
	}
}

// More paint in the mix takes no more coats to one target.
func TestMorePaintFewerCoats(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for range 60 {
		c, wood := anyCoating(rng, "any"), anyWood(rng)
		target := blendtest.ColourOver(c, wood, 4)
		last := math.MaxInt
		for _, share := range []float64{0.5, 1, 2} {
			plan, err := planArea(t.Context(), wood, target, []*blend.Coating{c.Strength(share)}, Options{Price: cheap})
			require.NoError(t, err)
			n := len(plan.Path) - 1
			require.LessOrEqual(t, n, last)
			last = n
		}
	}
}

// A wash of one pigment goes to its dried paint and never back: in every band.
func TestPathToTheChipIsMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 21))
	for range 100 {
		c, wood := anyCoating(rng, "any"), spectra.Smoothest(anyWood(rng))
		limit := c.Limit()
		before := wood
		for n := 1; n <= 12; n++ {
			s := c.Over(&wood, float64(n))
			for i := range s {
				require.LessOrEqual(t, math.Abs(s[i]-limit[i]), math.Abs(before[i]-limit[i])+1e-12)
			}
			before = s
		}
	}
}

// The range of the count, the chance to end within tolerance and the range of what is left hold
// as often as they say, where the truth is one more sample of those that were planned for.
func TestPlannedRangesHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(34, 55))
	inRange, inSpread, within, chance, trials := 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range figure.Draws(250, 500) {
		c, lab := anyCoating(rng, "any"), anyWood(rng)
		ground := spectra.Smoothest(lab)
		// as strong as washes are: one coat moves the wood by 4 to 10 ΔE00
		if c = blendtest.ThinnedTo(c, &ground, 4+6*rng.Float64()); c == nil {
			continue
		}
		target := blendtest.ColourOver(c, lab, float64(1+i%5))
		problem, colours := pieceOf([]wood{{name: fmt.Sprint("area ", i), surface: blend.Sealed, mean: lab}}, target)
		w := scatteredBy(uint64(i), 97, 0.2, []*blend.Coating{c}, colours)
		truth := w.Drawn[96]
		w.Drawn = w.Drawn[:96]
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		a := plan.Choices[0].Areas[0]
		p := newPlanner(w, &problem)
		problem.Options.fill()
		v := model{&problem, &truth}
		order := layerOrder{{Coating: 0, Coats: Planned}}
		space := v.newSearchSpace(p.areasOf([]int{0}), p.optionsOf(order, []int{0}),
			func(a *Area) []appearance { return v.finals(a, p.optionsOf(order, []int{0})) },
			func(a *Area, ls layers) float64 { return p.price(a, order, ls) })
		best := space.minimise(func(int, int) bool { return true })[0]
		n := len(a.Path) - 1
		r := [2]int{0, 0}
		if n > 0 {
			r = a.Coats[0].Range
		}
		trials++
		if best >= r[0] && best <= r[1] {
			inRange++
		}
		if d := space.toTarget[0][n]; d >= a.After.Low && d <= a.After.High {
			inSpread++
		}
		if space.toTarget[0][n] <= 2 {
			within++
		}
		chance += a.Within
	}
	t.Logf("of %.0f plans: 80 %% range of the count holds %.0f %%, of what is left %.0f %%; within tolerance %.0f %%, said %.0f %%",
		trials, 100*inRange/trials, 100*inSpread/trials, 100*within/trials, 100*chance/trials)
	figure.Report(t, "planned ranges/count", "%.0f %%", 100*inRange/trials)
	figure.Report(t, "planned ranges/what is left", "%.0f %%", 100*inSpread/trials)
	require.InDelta(t, 0.8, inSpread/trials, 0.09)
	require.InDelta(t, chance/trials, within/trials, 0.09)
	figure.AtLeast(t, 0.76, inRange/trials, trials)
}

// Planning on from where an area is gives what planning it whole did: the coats of a wiped coating
// that lie there already tell how little the next will leave, and grain is told against the bare wood.
func TestPlanGoesOnFromWhatIsLaid(t *testing.T) {
	wiped := *blendtest.BrownDye
	wiped.PutOn, wiped.Carry, wiped.Uptake = blend.Wiped, 0.6, 1.4
	bare := wood{"frame", blend.Bare, maple, colour.Lab{L: 74, A: 7, B: 23}}
	target := after(&wiped, maple, 4, blend.Bare)
	problem, colours := pieceOf([]wood{bare}, target)
	problem.Options.Price = cheap
	whole, err := Make(t.Context(), scattered(0, 0, []*blend.Coating{&wiped}, colours), problem)
	require.NoError(t, err)
	require.Equal(t, 4, whole.Choices[0].Areas[0].Coats[0].Count)

	light := colours[1]
	on := []colour.Lab{after(&wiped, maple, 2, blend.Bare), after(&wiped, light, 2, blend.Bare),
		after(&wiped, bare.figure, 2, blend.Bare), target, light, bare.figure}
	problem.Areas[0].Laid, problem.Areas[0].BareLight, problem.Areas[0].BareDark = []Layer{{0, 2}}, 4, 5
	rest, err := Make(t.Context(), scattered(0, 0, []*blend.Coating{&wiped}, on), problem)
	require.NoError(t, err)
	require.Equal(t, 2, rest.Choices[0].Areas[0].Coats[0].Count)
	for n, s := range rest.Choices[0].Areas[0].Path {
		require.InDelta(t, 0, colour.DeltaE2000(whole.Choices[0].Areas[0].Path[n+2].Lab, s.Lab), 0.1,
			"the smoothest spectrum of a colour between is a guess")
		require.InDelta(t, whole.Choices[0].Areas[0].Path[n+2].Grain, s.Grain, 0.02)
	}
}
