package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/piece"
)

// Outlines are found again in another photo of the cabinet, from a photo and its areas and from a piece file, and kept in a new one.
func TestCarryOutlines(t *testing.T) {
	dir := t.TempDir()
	later := dir + "/later.jpg"
	view := bench.View{TiltX: -0.04, TiltY: 0.03, RollDegrees: -1.2, Scale: 0.8}
	camera := bench.DrawCamera(8, bench.Phone)
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 1, Wash: drawn().Wash}).Shoot(view, camera)
	require.NoError(t, os.WriteFile(later, shot.JPEG, 0o600))
	begun := dir + "/later.toml"
	code, out, stderr := huewright("carry", front(), later, "--area", area(bench.Frame), "--area", area(bench.Panel),
		"--overlay", dir+"/carried.png", "--write", begun)
	require.Zero(t, code, stderr)
	require.Contains(t, out, "proposal")
	require.FileExists(t, dir+"/carried.png")
	text, err := os.ReadFile(begun)
	require.NoError(t, err)
	p, err := piece.Read(begun, text, piece.Limits{})
	require.NoError(t, err)
	require.Len(t, p.Areas, 2)
	for _, a := range p.Areas {
		o, err := imageio.ParseOutline(a.Outline)
		require.NoError(t, err)
		truth := shot.Area(a.Name).Outline.Centre()
		require.InDelta(t, truth.X, o.Centre().X, 4, a.Name)
		require.InDelta(t, truth.Y, o.Centre().Y, 4, a.Name)
	}
	again := parsed(t, "carry", begun, front(), "--json")
	require.Equal(t, true, again["proposed"])
	require.Len(t, again["areas"], 2)

	blank := dir + "/blank.jpg"
	require.NoError(t, os.WriteFile(blank, bench.BlankSheet().Shoot(bench.View{Width: 800, Height: 600}, camera).JPEG, 0o600))
	for says, args := range map[string][]string{
		"was not found in this photo": {front(), blank, "--area", area(bench.Frame)},
		"has its own areas":           {begun, front(), "--area", area(bench.Frame)},
		"does not go with a photo":    {front(), later, "--from", "front", "--area", area(bench.Frame)},
		"There is no photo \"side\"":  {begun, front(), "--from", "side"},
		"needs two":                   {front()},
		"outside the photo":           {front(), later, "--area", "frame=5000,20,30,30"},
		"lies on the area \"frame\"": {front(), later, "--area", area(bench.Frame), "--tap", "x=" +
			strings.Split(area(bench.Frame), " ")[0][6:]},
	} {
		code, _, stderr := huewright(append([]string{"carry"}, args...)...)
		require.NotZero(t, code, says)
		require.Contains(t, stderr, says)
	}
}
