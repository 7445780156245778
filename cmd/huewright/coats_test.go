package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Coats that somebody names stand beside the plan's and change nothing of it; a preview and a card show them and say so.
func TestCoatsThatSomebodyNames(t *testing.T) {
	piece := filepath.Join(tried(), demoPiece)
	plain, asked := parsed(t, "plan", piece, "--json"), parsed(t, "plan", piece, "--json", "--coats", "panel=2 frame=1")
	require.Nil(t, plain["what_if"])
	told := requireKeys(t, asked["what_if"], "areas", "worst", "worst_range", "worst_of", "apart", "grain", "coats", "value", "chosen")
	require.Equal(t, false, told["chosen"])
	var counts []any
	for _, a := range told["areas"].([]any) {
		for _, c := range requireKeys(t, a, "name", "coats", "grain", "delta_e_after", "delta_e_after_range")["coats"].([]any) {
			counts = append(counts, c.(map[string]any)["count"])
		}
	}
	first := plain["plans"].([]any)[0].(map[string]any)
	corner := first["areas"].([]any)[2].(map[string]any)["coats"].([]any)[0].(map[string]any)["count"]
	require.Equal(t, []any{1.0, 2.0, corner}, counts, "what is left out keeps the plan's")
	require.Greater(t, told["value"], first["value"])
	for key := range requireKeys(t, told) {
		require.Contains(t, first, key, "shaped like a plan")
	}
	delete(asked, "what_if")
	delete(plain, "what_if")
	require.Equal(t, plain, asked)

	folder := t.TempDir()
	out := done(t, "preview", piece, "--coats", "frame=1 panel=0", "--out", folder, "--width", "300")
	require.Contains(t, out, "frame: 1 coat")
	require.Contains(t, out, "panel: no coat")
	require.Contains(t, out, "These are your coats. The plan suggests: frame and filled corner 3 coats")
	sheet := filepath.Join(folder, "card.html")
	done(t, "card", piece, "--coats", "frame=1 panel=0", "--out", sheet)
	html, err := os.ReadFile(sheet)
	require.NoError(t, err)
	for _, text := range []string{"These are your coats. The plan suggests: frame and filled corner 3 coats", "1 coat of nut-brown wash"} {
		require.True(t, strings.Contains(string(html), text), text)
	}
}

func TestCoatsThatMakeNoSense(t *testing.T) {
	piece := filepath.Join(tried(), demoPiece)
	for coats, want := range map[string]string{
		"panel=3 fraem=1":       `Did you mean "frame"?`,
		"panel=3 nut wash":      "The coatings are nut-brown wash.",
		"panel=1 nutbrown wash": `Did you mean "nut-brown wash"?`,
		"panel=13":              "13 coats are more than the 12",
		"three on the panel":    "name no area",
	} {
		code, stdout, stderr := huewright("plan", piece, "--coats", coats)
		require.Equal(t, exitWrongUse, code, coats)
		require.Empty(t, stdout)
		require.Contains(t, stderr, want)
		require.Contains(t, stderr, "hint: ")
	}
}
