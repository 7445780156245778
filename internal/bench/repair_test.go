package bench

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/repair"
	"huewright/imageio"
	"huewright/imageio/surround"
	"huewright/internal/figure"
)

// A checked is a drawn repair as the program sees it.
type checked struct {
	*Repair
	look repair.Appearance
	near repair.View
	far  []repair.View
}

func check(t testing.TB, opt RepairOptions, distances []float64) checked {
	t.Helper()
	r := DrawRepair(opt)
	p, err := imageio.Decode(t.Context(), r.PNG, fmt.Sprintf("wood %d, seed %d", opt.Wood, opt.Seed))
	require.NoError(t, err)
	s, err := surround.Read(t.Context(), p, r.Outline, nil, surround.Options{})
	require.NoError(t, err)
	c := checked{Repair: r, look: lookOf(t, s)}
	c.near = c.look.ViewFrom(0)
	views, err := s.From(t.Context(), distances, r.MM)
	require.NoError(t, err)
	for i, from := range views {
		look := lookOf(t, from)
		c.far = append(c.far, look.ViewFrom(distances[i]))
	}
	return c
}

func lookOf(t testing.TB, s *surround.Surroundings) repair.Appearance {
	t.Helper()
	spot, err := s.Repair(t.Context())
	require.NoError(t, err)
	patches, err := s.Patches(t.Context())
	require.NoError(t, err)
	return repair.Appearance{Repair: spot, Patches: patches, Size: s.Size()}
}

// uniform is Kolmogorov's and Smirnov's distance of shares 0–1 from being uniform, and how
// probable a larger one is by chance.
//
// Source: Stephens (1970), J. R. Stat. Soc. B 32, 115–122: with √n + 0.12 + 0.11/√n in place of √n the
// asymptotic series holds for all n.
func uniform(shares []float64) (d, p float64) {
	sorted := slices.Sorted(slices.Values(shares))
	n := float64(len(sorted))
	for i, v := range sorted {
		d = max(d, math.Abs(v-float64(i)/n), math.Abs(float64(i+1)/n-v))
	}
	x := d * (math.Sqrt(n) + 0.12 + 0.11/math.Sqrt(n))
	for k := 1.0; k < 100; k++ {
		p += 2 * math.Pow(-1, k-1) * math.Exp(-2*k*k*x*x)
	}
	return d, min(max(p, 0), 1)
}

// TestNoRepairIsUnlike holds that wood itself is called unlike as often as that is said: 5 times in
// 100. Run with -v for the figures.
func TestNoRepairIsUnlike(t *testing.T) {
	var shares, turned []float64
	unlike, visible := 0.0, 0.0
	n := figure.Draws(18, 504)
	for i := range n {
		c := check(t, RepairOptions{Seed: uint64(i), Wood: i % Woods}, nil)
		shares = append(shares, c.near.Rank.Of100/100)
		if c.near.Rank.Of100 > 95 {
			unlike++
		}
		if c.near.Seen {
			visible++
		}
		if c.look.Repair.Ring.Coherence > 0.25 {
			turned = append(turned, math.Abs(math.Remainder(c.look.Repair.Ring.Along-c.Along, 180)))
		}
	}
	d, p := uniform(shares)
	slices.Sort(turned)
	t.Logf("%d spots of wood: unlike %.0f %%, shown %.0f %%; ranks are off uniform by %.3f, p = %.2f",
		n, 100*unlike/float64(n), 100*visible/float64(n), d, p)
	t.Logf("grain told in %d of them: off by %.1f° in the middle, %.1f° for 95 of 100",
		len(turned), turned[len(turned)/2], turned[len(turned)*95/100])
	figure.Report(t, "untouched spots", "%.0f %% / %.0f %% of %d", 100*unlike/float64(n), 100*visible/float64(n), n)
	figure.Report(t, "untouched spots/ranks", "%.2f", p)
	figure.Report(t, "untouched spots/grain", "%.1f° in the middle, %.1f° for 95 of 100", turned[len(turned)/2], turned[len(turned)*95/100])
	require.Greater(t, p, 0.01)
	require.LessOrEqual(t, unlike/float64(n), 0.12+figure.Slack(0.12, float64(n)))
	require.Less(t, turned[len(turned)/2], 5.0)
}

// TestRepairsAreCaught holds that what was done to a spot is caught, and what nobody could see is
// not called visible. Known to fail in the long run: one of 204 moved by 0.6 is, where the wood has a
// dark line of its own along the outline.
func TestRepairsAreCaught(t *testing.T) {
	n := figure.Draws(1, 34) * Woods
	for _, row := range []struct {
		name string
		opt  RepairOptions
		want float64 // caught at least
	}{
		{"moved by 0.6", RepairOptions{Filling: Moved, Shift: 0.6}, 0},
		{"moved by 2", RepairOptions{Filling: Moved, Shift: 2}, 0.9},
		{"moved by 3", RepairOptions{Filling: Moved, Shift: 3}, 0.95},
		{"moved by 5", RepairOptions{Filling: Moved, Shift: 5}, 0.95},
		{"flat fill", RepairOptions{Filling: Flat}, 0.95},
		{"lined", RepairOptions{Filling: Lined}, 0.95},
	} {
		t.Run(row.name, func(t *testing.T) {
			caught, seen := 0.0, 0.0
			far := [3]float64{}
			for i := range n {
				opt := row.opt
				opt.Seed, opt.Wood = uint64(1000+i), i%Woods
				c := check(t, opt, repair.Distances)
				if c.near.Rank.Of100 > 95 {
					caught++
				}
				if c.near.Seen {
					seen++
				}
				for k := range c.far {
					if c.far[k].Seen {
						far[k]++
					}
				}
			}
			of := float64(n)
			t.Logf("%-13s unlike %3.0f %%, seen %3.0f %%, from 610 mm %3.0f %%, 1219 mm %3.0f %%, 1829 mm %3.0f %%",
				row.name, 100*caught/of, 100*seen/of, 100*far[0]/of, 100*far[1]/of, 100*far[2]/of)
			figure.Report(t, "repairs/"+row.name, "%.0f %% (%.0f)", 100*caught/of, 100*seen/of)
			figure.Report(t, "repairs shown/"+row.name, "%.0f of %d", seen, n)
			require.GreaterOrEqual(t, caught/of, row.want, row.name)
			if row.opt.Filling == Moved && row.opt.Shift < 0.8 {
				require.Zero(t, seen, row.name)
			}
		})
	}
}
