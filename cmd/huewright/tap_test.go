package main

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
)

// A plan from a photo takes places on woods as measure does, and keeps them in the piece file that it writes.
func TestPlanByTap(t *testing.T) {
	file := t.TempDir() + "/begun.toml"
	asked := []string{"plan", front(), "--tap", "frame=520,400", "--tap", "panel=1050,600", "--chip", "#7a5a40", "--thinned", "1:4"}
	out := parsed(t, append(asked, "--json")...)
	code, _, stderr := huewright(append(asked, "--write", file)...)
	require.Zero(t, code, stderr)
	require.Len(t, out["areas"], 2)
	require.Contains(t, fmt.Sprint(out["warnings"]), "was taken from your taps")
	written, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Contains(t, string(written), `tap = "520,400"`)
	again := parsed(t, "plan", file, "--json")
	require.Equal(t, out["areas"], again["areas"])

	code, _, stderr = huewright("plan", front(), "--tap", "frame=520,400", "--tap", "panel=520,402", "--chip", "#7a5a40")
	require.NotZero(t, code)
	require.Contains(t, stderr, "took the same wood")
}

// A place on a wood is enough to measure all of it, and its outline can be used again.
func TestMeasureByTap(t *testing.T) {
	photo := front()
	frame, panel := drawn().Area(bench.Frame).Outline.String(), drawn().Area(bench.Panel).Outline.String()
	out := parsed(t, "measure", photo, "--json", "--tap", "frame=520,400", "--area", "panel="+panel)
	tapped := out["areas"].([]any)[1].(map[string]any)
	require.Equal(t, "frame", tapped["name"])
	outline := tapped["outline"].(string)
	require.Contains(t, outline, "; not ", "the panels are holes in it")

	byHand := parsed(t, "measure", photo, "--json", "--area", "frame="+frame)
	lab := func(v any) colour.Lab {
		l := v.(map[string]any)["lab"].([]any)
		return colour.Lab{L: l[0].(float64), A: l[1].(float64), B: l[2].(float64)}
	}
	require.Less(t, colour.DeltaE2000(lab(tapped), lab(byHand["areas"].([]any)[0])), 2.0, "the stile that is outlined is one board of it")
	again := parsed(t, "measure", photo, "--json", "--area", "frame="+outline)
	require.Equal(t, tapped["lab"], again["areas"].([]any)[0].(map[string]any)["lab"])

	for flag, says := range map[string]string{
		"frame":              "--tap",
		"frame=":             "No place is given",
		"frame=not 520,400":  "No place is given",
		"frame=520":          "not a place in the photo",
		"frame=NaN,3":        "not a place in the photo",
		"frame=99999,400":    "outside the photo",
		"frame=520,400 12,x": "not a place in the photo",
	} {
		code, _, stderr := huewright("measure", photo, "--tap", flag)
		require.NotZero(t, code, flag)
		require.Contains(t, stderr, says, flag)
	}
}
