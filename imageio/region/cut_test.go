package region

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// The border that is found costs as little as the cheapest of all ways to part a small network.
func TestCutIsCheapest(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	const inner = 8
	for range 200 {
		n := newNetwork(inner + 2)
		var links [][3]float64
		join := func(a, b int, there, back float64) {
			n.join(a, b, there, back)
			links = append(links, [3]float64{float64(a), float64(b), there}, [3]float64{float64(b), float64(a), back})
		}
		for k := range inner {
			join(inner, k, 3*rng.Float64(), 0)
			join(k, inner+1, 3*rng.Float64(), 0)
			for j := range k {
				if rng.IntN(3) == 0 {
					w := 2 * rng.Float64()
					join(j, k, w, w)
				}
			}
		}
		cost := func(in func(k int) bool) (sum float64) {
			for _, l := range links {
				if in(int(l[0])) && !in(int(l[1])) {
					sum += l[2]
				}
			}
			return sum
		}
		least := math.Inf(1)
		for set := range 1 << inner {
			least = min(least, cost(func(k int) bool { return k == inner || k < inner && set>>k&1 == 1 }))
		}
		reached := n.cut(inner, inner+1)
		require.InDelta(t, least, cost(func(k int) bool { return reached[k] }), 1e-9)
		require.False(t, reached[inner+1])
	}
}
