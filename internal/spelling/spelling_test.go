package spelling

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Slips are a distance: of a word to itself 0, the same both ways, and at most the letters of the longer word.
func TestSlips(t *testing.T) {
	words := []string{"", "a", "ab", "ba", "plan", "paln", "plane", "timetable", "tabletime", "größe", "grösse"}
	for _, a := range words {
		for _, b := range words {
			d := Slips(a, b)
			require.Equal(t, a == b, d == 0, "%s %s", a, b)
			require.Equal(t, d, Slips(b, a), "%s %s", a, b)
			require.LessOrEqual(t, d, max(len([]rune(a)), len([]rune(b))))
		}
	}
	require.Equal(t, 1, Slips("plan", "paln"), "two neighbours swapped are one slip")
}
