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
