package bench

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/spectra"
)

// faceMean is the mean colour of a face of 120 × 200 mm, in linear light.
func faceMean(l *palette, g grain) colour.Lab {
	var sum colour.XYZ
	const step, count = 1.3, 92 * 154
	f := &surface{palette: l, grain: g}
	for i := range 92 {
		for j := range 154 {
			s := &l[f.level(step*float64(i), step*float64(j))]
			add(&sum, s.XYZ(spectra.LightD65), 1.0/count)
		}
	}
	return sum.Lab()
}

// The two colours are from memory; boards of one wood differ by several units.
func TestWoodColours(t *testing.T) {
	var pale, dark colour.Lab
	const boards = 12
	for seed := range uint64(boards) {
		rng := rand.New(rand.NewPCG(seed, 1))
		b := newBoard(rng, 60, 100, 90, cut(seed%2), 3.4)
		a, s := faceMean(ash.palette(1, 1), b.ash), faceMean(sapele.palette(1, 1), b.sapele)
		pale.L, pale.A, pale.B = pale.L+a.L/boards, pale.A+a.A/boards, pale.B+a.B/boards
		dark.L, dark.A, dark.B = dark.L+s.L/boards, dark.A+s.A/boards, dark.B+s.B/boards
	}
	t.Logf("ash %v, sapele %v", pale, dark)
	require.Less(t, colour.DeltaE2000(colour.Lab{L: 78, A: 4, B: 19}, pale), 3.0)
	require.Less(t, colour.DeltaE2000(colour.Lab{L: 45, A: 17, B: 20}, dark), 3.0)
}

// Darker grain is darker, all the way, in every band.
func TestGrainDarkens(t *testing.T) {
	for name, sp := range map[string]species{"ash": ash, "sapele": sapele} {
		l := sp.palette(1, 1)
		for i := 1; i < levels; i++ {
			for band := range l[i] {
				require.Less(t, l[i][band], l[i-1][band], "%s, level %d, band %d", name, i, band)
			}
		}
	}
}

// roughness is the mean square step of the grain over a distance along and across it.
func roughness(b *board, g grain, distance float64) (along, across float64) {
	const count = 4000
	rng := rand.New(rand.NewPCG(7, 7))
	for range count {
		x, y := 200*rng.Float64()-100, 400*rng.Float64()-200
		here := g(x, y)
		along += math.Pow(g(x+b.cos*distance, y+b.sin*distance)-here, 2) / count
		across += math.Pow(g(x+b.sin*distance, y-b.cos*distance)-here, 2) / count
	}
	return along, across
}

// Wood is no noise: it has a direction. A step along the grain changes less than one across.
func TestGrainHasADirection(t *testing.T) {
	for seed := range uint64(8) {
		rng := rand.New(rand.NewPCG(seed, 2))
		b := newBoard(rng, 0, 0, 90, quarterSawn, 3.4)
		for name, g := range map[string]grain{"ash": b.ash, "sapele": b.sapele} {
			along, across := roughness(b, g, 1.7)
			require.Greater(t, across, 1.3*along, "%s, board %d", name, seed)
		}
	}
}

// A plain-sawn face shows arches: walking along its middle one crosses year after year. On a
// quarter-sawn face one stays in the same few.
func TestCutsShowRings(t *testing.T) {
	crossed := func(c cut) (years float64) {
		for seed := range uint64(20) {
			b := newBoard(rand.New(rand.NewPCG(seed, 3)), 0, 0, 90, c, 3.4)
			var last int
			for v := -200.0; v <= 200; v++ {
				year, _ := b.ring(b.pith, v)
				if c == quarterSawn {
					year, _ = b.ring(0, v)
				}
				if v > -200 && year != last {
					years += 1.0 / 20
				}
				last = year
			}
		}
		return years
	}
	plain, quarter := crossed(plainSawn), crossed(quarterSawn)
	t.Logf("400 mm along the grain cross %.1f rings plain-sawn, %.1f quarter-sawn", plain, quarter)
	require.Greater(t, plain, 1.5*quarter)
}

func TestNoiseIsSmoothAndBounded(t *testing.T) {
	n := noise(5)
	for i := range 20000 {
		x, y := float64(i)*0.013-90, float64(i)*0.007
		require.InDelta(t, n.plane(x, y), n.plane(x+1e-6, y-1e-6), 1e-4)
		require.LessOrEqual(t, math.Abs(n.plane(x, y)), 1.6)
		require.InDelta(t, n.line(x), n.line(x+1e-6), 1e-4)
		require.LessOrEqual(t, math.Abs(n.line(x)), 1.0)
		require.Equal(t, n.plane(x, y), n.plane(x, y))
	}
}
