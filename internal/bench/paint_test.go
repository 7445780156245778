package bench

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

func TestWashMovesAPaleWoodAsAsked(t *testing.T) {
	for _, name := range WashNames() {
		w := NewWash(3, name, 6)
		most := 0.0
		for _, sp := range []species{ash, sapele} {
			ground := &sp.palette(1, 1)[0]
			covered := w.Over(ground, 1)
			most = max(most, colour.DeltaE2000(ground.Lab(), covered.Lab()))
		}
		require.InDelta(t, 6, most, 1e-6, name)
	}
	require.Panics(t, func() { NewWash(1, "no such wash", 6) })
}

// No coats leave the wood alone, many end at the dried paint whatever is beneath, and two
// coats then three are five.
func TestWashLaws(t *testing.T) {
	for _, name := range WashNames() {
		w := NewWash(4, name, 7)
		opaque := w.Opaque()
		for _, sp := range []species{ash, sapele} {
			ground := &sp.palette(1, 1)[60]
			require.Equal(t, *ground, w.Over(ground, 0))
			hidden, two, five := w.Over(ground, 1e4), w.Over(ground, 2), w.Over(ground, 5)
			then := w.Over(&two, 3)
			for band := range hidden {
				require.InDelta(t, opaque[band], hidden[band], 1e-6)
				require.InDelta(t, five[band], then[band], 1e-12)
				require.True(t, five[band] > 0 && five[band] < 1)
			}
		}
	}
}

// The washes are told apart, and go from pale to dark.
func TestWashesDiffer(t *testing.T) {
	var last colour.Lab
	for i, name := range WashNames() {
		dried := NewWash(5, name, 7).Opaque()
		if i > 0 {
			require.Greater(t, colour.DeltaE2000(last, dried.Lab()), 4.0, name)
			require.Less(t, dried.Lab().L, last.L, name)
		}
		last = dried.Lab()
	}
}
