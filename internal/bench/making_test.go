package bench

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
)

// What is no coat, or a coat of nothing, changes no wood, but for the wetting; wet wood is darker.
func TestMakings(t *testing.T) {
	wood := sapele.palette(1, 1)[levels/3]
	for _, m := range []Making{{}, {Surface: true}, {Wets: 0.4}, {Surface: true, Wets: 0.4, TakesUp: 0.25}} {
		w := m.NewWash(1, "fawn", 6)
		none := w.Over(&wood, 0)
		require.InDeltaSlice(t, wood[:], none[:], 1e-12)
		nothing := Wash{Making: m}
		coated := nothing.Over(&wood, 1)
		if m.Wets == 0 {
			require.InDeltaSlice(t, wood[:], coated[:], 1e-12)
			continue
		}
		require.Less(t, coated.Lab().L, wood.Lab().L-1)
		again := nothing.Over(&wood, 3)
		require.InDeltaSlice(t, coated[:], again[:], 1e-12, "wood wets once")
	}
	f := blend.Film{K: 0.1, S: 0.2}
	require.InDelta(t, f.Over(0.5, 3.25), Making{TakesUp: 0.25}.over(f, 0.5, 3), 1e-12)
	require.Less(t, Making{Surface: true}.over(f, 0.5, 50), f.Limit())
}
