package region

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestQueueGivesTheFirstFirst(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	q := queue[int]{before: func(a, b *int) bool { return *a < *b }}
	var held []int
	for range 2000 {
		if len(held) == 0 || rng.IntN(3) > 0 {
			v := rng.IntN(500)
			q.put(v)
			held = append(held, v)
			continue
		}
		least := slices.Min(held)
		require.Equal(t, least, q.take())
		i := slices.Index(held, least)
		held = slices.Delete(held, i, i+1)
	}
	require.Len(t, q.all, len(held))
}
