package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

func TestMeasureWithSlipsAndScale(t *testing.T) {
	slip := drawn().Area(bench.Slip).Outline.String()
	args := []string{"measure", front(), "--area", area(bench.Panel), "--corners", corners(t), "--neutral", slip, "--neutral", "94: " + slip,
		"--length", "100,100 1100,100=725"}
	v := parsed(t, append(args, "--json")...)
	light := requireKeys(t, requireKeys(t, v["calibration"], "light")["light"], "by", "found", "left", "neutrals")
	require.Equal(t, "neutrals", light["by"])
	require.Len(t, light["neutrals"], 2)
	size := requireKeys(t, v["areas"].([]any)[0], "size_m2")["size_m2"]
	require.Greater(t, size, 0.0)

	code, stdout, _ := huewright(append(args, "--full")...)
	require.Zero(t, code)
	require.Contains(t, stdout, "The light changes by")
	require.Contains(t, stdout, "m²")
}

func TestLightWrongUse(t *testing.T) {
	values := filepath.Join(t.TempDir(), "chart.csv")
	require.NoError(t, os.WriteFile(values, []byte("white,D50\nbeige,1,2,3\n"), 0o600))
	for says, c := range map[string]struct {
		code int
		args []string
	}{
		"There are 3 numbers":                      {exitWrongUse, []string{"--neutral", "1,2,3"}},
		"slip of paper 1":                          {exitWrongUse, []string{"--neutral", "9000,9000,30,30"}},
		"lightness is 300":                         {exitWrongUse, []string{"--neutral", "1,2,30,40", "--neutral-lightness", "300"}},
		`is not a known length`:                    {exitWrongUse, []string{"--length", "1,2 3,4"}},
		"A chart's width is given":                 {exitWrongUse, []string{"--reference", "none", "--chart-width", "250"}},
		`chart.csv:2:1: There is no patch "beige"`: {exitWrongUse, []string{"--corners", corners(t), "--chart-values", values}},
		"none.jpg":                                 {exitPhoto, []string{"--flat", "none.jpg"}},
		"does not look like a blank":               {exitPhoto, []string{"--flat", front()}},
	} {
		code, stdout, stderr := huewright(append([]string{"measure", front(), "--area", area(bench.Panel)}, c.args...)...)
		require.Equal(t, c.code, code, says)
		require.Empty(t, stdout)
		require.Contains(t, stderr, says)
		require.Equal(t, 2, strings.Count(stderr, "\n"), stderr)
	}
}
