package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
)

// The form without angles agrees with the one with them everywhere, among greys, blues and opposite hues too.
func TestFastCIEDE2000IsTheSame(t *testing.T) {
	rng := rand.New(rand.NewPCG(20, 0))
	worst, slow := 0.0, 0
	const n = 300_000
	for i := range n {
		random := func() Lab { return Lab{100 * rng.Float64(), 240 * (rng.Float64() - 0.5), 240 * (rng.Float64() - 0.5)} }
		a, b := random(), random()
		switch i % 6 {
		case 1: // near one another
			b = Lab{a.L + rng.NormFloat64(), a.A + rng.NormFloat64(), a.B + rng.NormFloat64()}
		case 2: // nearly grey
			a = Lab{a.L, 1e-4 * a.A, 1e-4 * a.B}
		case 3: // opposite
			k := -rng.Float64() * (1 + 1e-4*rng.NormFloat64())
			b = Lab{b.L, k * a.A, k * a.B}
		case 4: // grey
			b.A, b.B = 0, 0
		case 5: // blue
			a, b = Lab{a.L, 20 * rng.NormFloat64(), -80 * rng.Float64()}, Lab{b.L, 20 * rng.NormFloat64(), -80 * rng.Float64()}
		}
		exact := newCIEDE2000(a, b)
		want := exact.whole()
		if got, ok := fastCIEDE2000(a, b); ok {
			worst = max(worst, math.Abs(got-want))
			require.InDelta(t, want, got, 1e-9, "%v %v", a, b)
		} else {
			slow++
		}
	}
	t.Logf("%d pairs, %d of them by angles", n, slow)
	figure.Report(t, "ciede2000/without angles", "%.1g", worst)
	require.Less(t, slow, n/4)
}
