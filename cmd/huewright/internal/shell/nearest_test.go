package shell

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNearest(t *testing.T) {
	commands := []string{"demo", "measure", "compare", "plan", "preview", "timetable", "card", "check", "log", "serve", "version"}
	for typed, want := range map[string]string{
		"pln": "plan", "plna": "plan", "paln": "plan", "plann": "plan", "meas": "measure", "Measure": "measure", "mesaure": "measure",
		"time": "timetable", "lgo": "log", "chekc": "check", "crad": "card",
		"": "", "x": "", "zebra": "", "photograph": "", "wood": "",
	} {
		require.Equal(t, want, nearest(typed, commands), typed)
	}
}

// Slips are a distance: of a word to itself 0, the same both ways, and at most the letters of the longer word.
func TestSlips(t *testing.T) {
	words := []string{"", "a", "ab", "ba", "plan", "paln", "plane", "timetable", "tabletime", "größe", "grösse"}
	for _, a := range words {
		for _, b := range words {
			d := slips(a, b)
			require.Equal(t, a == b, d == 0, "%s %s", a, b)
			require.Equal(t, d, slips(b, a), "%s %s", a, b)
			require.LessOrEqual(t, d, max(len([]rune(a)), len([]rune(b))))
		}
	}
	require.Equal(t, 1, slips("plan", "paln"), "two neighbours swapped are one slip")
}
