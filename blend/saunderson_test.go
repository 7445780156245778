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
		require.InDelta(t, c.seen, saunderson(c.inside, outerReflectance, innerReflectance), 5e-7)
		require.InDelta(t, c.inside, inverseSaunderson(c.seen, outerReflectance, innerReflectance), 5e-6)
	}
}

func TestSaundersonLaws(t *testing.T) {
	for r := 0.0; r <= 1; r += 0.05 {
		require.Equal(t, r, saunderson(r, 0, 0), "no surface, no change")
		seen := saunderson(r, 0.05, 0.45)
		require.InDelta(t, r, inverseSaunderson(seen, 0.05, 0.45), 1e-14, "there and back")
		if r > 0 {
			require.Greater(t, seen, saunderson(r-0.05, 0.05, 0.45), "lighter inside is lighter outside")
		}
	}
}

// inverseSaunderson returns the internal reflectance from what is seen.
func inverseSaunderson(seen, k1, k2 float64) float64 {
	return (seen - k1) / (1 - k1 - k2*(1-seen))
}
