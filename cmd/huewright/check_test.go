package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// The demo's corner of filler does not read as the ash it replaces, and a spot of the ash itself does.
func TestCheck(t *testing.T) {
	corner := drawn().Area(bench.Corner).Outline.String()
	overlay := filepath.Join(t.TempDir(), "corner.png")
	v := parsed(
		t, "check", front(), "--repair", corner, "--shelf", filepath.Join(tried(), demoPiece), "--chart-width", "200", "--from", "3",
		"--overlay", overlay, "--json",
	)
	require.NotEqual(t, "reads as this wood", v["verdict"])
	require.Len(t, v["far"], 4)
	near := requireKeys(t, v["near"], "of_100", "by_aspect", "patches", "delta_e", "seen")
	require.Greater(t, near["of_100"], 95.0)
	require.NotEmpty(t, v["advice"])
	require.FileExists(t, overlay)

	const spot = "520,300 535,295 550,310 545,330 525,328"
	code, stdout, stderr := huewright("check", front(), "--repair", spot, "--before", front(), "--before-repair", corner)
	require.Zero(t, code, stderr)
	require.Contains(t, stdout, "The repair reads as this wood.")
	require.Contains(t, stdout, "Leave it")
	require.Contains(t, stdout, "Before, ")
	require.Contains(t, stdout, "Nothing in the photo tells how large things are")
}

func TestCheckFaults(t *testing.T) {
	const spot = "520,300,30,30"
	for says, c := range map[string]struct {
		code int
		args []string
	}{
		"No repair is outlined":           {exitWrongUse, []string{"check", front()}},
		"Look at --repair.":               {exitWrongUse, []string{"check", front(), "--repair", "1,2,3"}},
		"outside the photo":               {exitWrongUse, []string{"check", front(), "--repair", "1590,300,60,60"}},
		"no wood beside the repair":       {exitPhoto, []string{"check", front(), "--repair", "10,10,1580,1180"}},
		"overlaps what you left out":      {exitPhoto, []string{"check", front(), "--repair", spot, "--exclude", "530,310,60,60"}},
		"--before and --before-repair go": {exitWrongUse, []string{"check", front(), "--repair", spot, "--before", front()}},
		"distance of 0 m":                 {exitWrongUse, []string{"check", front(), "--repair", spot, "--from", "0"}},
		"no such file":                    {exitPhoto, []string{"check", "none.jpg", "--repair", spot}},
		"needs one: the photo":            {exitWrongUse, []string{"check"}},
	} {
		code, _, stderr := huewright(c.args...)
		require.Equal(t, c.code, code, "%s: %s", says, stderr)
		require.Contains(t, stderr, says)
		require.Contains(t, stderr, "hint: ")
	}
}

// The repairs of a piece file are each judged, and one that cannot be does not stop the rest.
func TestCheckPiece(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(tried(), demoPiece))
	require.NoError(t, err)
	path := filepath.Join(filepath.Dir(copied(t, demoPhoto)[0]), demoPiece)
	speck := "\n[[repair]]\nname = \"speck\"\noutline = \"10,10,5,5\"\n"
	require.NoError(t, os.WriteFile(path, append(text, speck...), 0o600))
	code, stdout, stderr := huewright("check", path)
	require.Equal(t, exitPhoto, code)
	require.Contains(t, stderr, "Some photos could not be used")
	require.Contains(t, stdout, "filled corner, front.jpg\n")
	require.Contains(t, stdout, "speck\n  Not checked. ")
	bare := strings.Replace(
		string(text),
		"[[repair]]\nname    = \"filled corner\"    # for huewright check\noutline = "+fmt.Sprintf(
			"%q", drawn().Area(bench.Corner).Outline.String(),
		),
		"", 1,
	)
	require.NoError(t, os.WriteFile(path, []byte(bare), 0o600))
	code, _, stderr = huewright("check", path)
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "The piece has no repairs")
}
