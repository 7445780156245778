package blend

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Our own figures, worked from the formula apart from this code.
func TestSaundersonTable(t *testing.T) {
	for _, c := range []struct{ inside, seen float64 }{
		{0, 0.04}, {0.1, 0.080851}, {0.25, 0.152941}, {0.5, 0.314286},
		{0.75, 0.563636}, {0.9, 0.791304}, {1, 1},
	} {
		require.InDelta(t, c.seen, Saunderson(c.inside, OuterSurface, InnerSurface), 5e-7)
		require.InDelta(t, c.inside, InverseSaunderson(c.seen, OuterSurface, InnerSurface), 5e-6)
	}
}

func TestSaundersonLaws(t *testing.T) {
	for r := 0.0; r <= 1; r += 0.05 {
		require.Equal(t, r, Saunderson(r, 0, 0), "no surface, no change")
		seen := Saunderson(r, 0.05, 0.45)
		require.InDelta(t, r, InverseSaunderson(seen, 0.05, 0.45), 1e-14, "there and back")
		if r > 0 {
			require.Greater(t, seen, Saunderson(r-0.05, 0.05, 0.45), "lighter inside is lighter outside")
		}
	}
	require.Negative(t, InverseSaunderson(0.02, OuterSurface, InnerSurface), "darker than its own gloss")
}
