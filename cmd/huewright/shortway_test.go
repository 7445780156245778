package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// A plan by flags is that of the piece file that says the same.
func TestPlanByFlags(t *testing.T) {
	file := filepath.Join(t.TempDir(), "front.toml")
	outline := func(name string) string { return drawn().Area(name).Outline.String() }
	require.NoError(t, os.WriteFile(file, fmt.Appendf(nil, `name = "front"
[target]
outline = %q
[[photo]]
name = "front"
file = %q
corners = %q
[[area]]
name = "frame"
outline = %q
[[area]]
name = "panel"
outline = %q
[[coating]]
name = "wash"
kind = "wash"
chip = { outline = %q }
dilution = { paint = 1, water = 4 }
[[coating]]
name = "umber"
kind = "glaze"
chip = { hex = "#4a3526" }
dilution = { paint = 1, water = 2 }
`, outline(bench.Target), front(), corners(t), outline(bench.Frame), outline(bench.Panel), outline(bench.Chip)), 0o644))
	byFile := done(t, "plan", file, "--json")
	byFlags := done(t, "plan", front(), "--corners", corners(t), "--area", area(bench.Frame), "--area", area(bench.Panel),
		"--target", outline(bench.Target), "--chip", outline(bench.Chip), "--chip", "umber=#4a3526", "--thinned", "1:4",
		"--thinned", "umber=1 paint, 2 water", "--kind", "umber=glaze", "--json")
	require.JSONEq(t, byFile, byFlags)
}

// What is missing or cannot be, each with what to do.
func TestPlanByFlagsRefuses(t *testing.T) {
	frame, panel := area(bench.Frame), area(bench.Panel)
	for name, c := range map[string]struct {
		args       []string
		says, hint string
	}{
		"no areas":         {[]string{front()}, "no areas", "--area"},
		"no coating":       {[]string{front(), "--area", frame, "--area", panel}, "No coating", "--chip"},
		"nothing to meet":  {[]string{front(), "--area", frame, "--chip", "#7a5a40"}, "no target", "--target"},
		"area twice":       {[]string{front(), "--area", frame, "--area", frame, "--chip", "#7a5a40"}, "Two areas", "own name"},
		"no colour":        {[]string{front(), "--area", frame, "--area", panel, "--chip", "brown"}, `"brown"`, "--chip"},
		"no target":        {[]string{front(), "--area", frame, "--chip", "#7a5a40", "--target", "board"}, `"board"`, "name of an area"},
		"no mix":           {[]string{front(), "--area", frame, "--area", panel, "--chip", "#7a5a40", "--thinned", "4"}, `"4"`, "1:4"},
		"no such coating":  {[]string{front(), "--area", frame, "--area", panel, "--chip", "a=#7a5a40", "--thinned", "b=1:4"}, `"b"`, "these: a"},
		"no such kind":     {[]string{front(), "--area", frame, "--area", panel, "--chip", "#7a5a40", "--kind", "ink"}, `"ink"`, "wash"},
		"a piece file too": {[]string{filepath.Join(tried(), demoPiece), "--area", frame}, "piece file", "Write"},
		"one of each":      {[]string{front(), filepath.Join(tried(), demoPiece)}, "piece file", "Write"},
	} {
		code, stdout, stderr := huewright(append([]string{"plan"}, c.args...)...)
		require.Equal(t, exitWrongUse, code, name)
		require.Empty(t, stdout, name)
		require.Contains(t, stderr, c.says, name)
		require.Contains(t, stderr, c.hint, name)
	}
}

// Coatings without a name are called by their kind, and an area may be the target.
func TestPlanByFlagsNames(t *testing.T) {
	said := done(t, "plan", front(), "--area", area(bench.Frame), "--area", area(bench.Panel), "--target", bench.Panel,
		"--chip", "#7a5a40", "--chip", "#4a3526", "--chip", "red=#80402a", "--kind", "red=dye", "--json")
	require.Contains(t, said, `"name": "wash",`)
	require.Contains(t, said, `"name": "wash 2",`)
	require.Contains(t, said, `"name": "red",
      "kind": "dye",`)
}
