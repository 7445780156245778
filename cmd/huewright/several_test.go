package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// copied is the demo's photo under another name, in a folder of its own.
func copied(t *testing.T, names ...string) (paths []string) {
	t.Helper()
	data, err := os.ReadFile(front())
	require.NoError(t, err)
	dir := t.TempDir()
	for _, name := range names {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		paths = append(paths, path)
	}
	return paths
}

// One photo that cannot be used does not stop the others, and is told in words and by the exit code.
func TestMeasureSeveralGoesOnPastABadPhoto(t *testing.T) {
	paths := copied(t, "a.jpg", "b.jpg")
	bad := filepath.Join(filepath.Dir(paths[0]), "bad.jpg")
	require.NoError(t, os.WriteFile(bad, []byte("\xff\xd8\xff no picture"), 0o600))
	code, stdout, stderr := huewright("measure", paths[0], bad, paths[1], "--area", area(bench.Panel))
	require.Equal(t, exitPhoto, code)
	require.Contains(t, stderr, "Some photos could not be used")
	require.Contains(t, stdout, paths[0]+"\n")
	require.Contains(t, stdout, bad+"\n  This photo was not read.")
	require.Contains(t, stdout, paths[1]+"\n")
}

func TestMeasureSeveralTied(t *testing.T) {
	paths := copied(t, "front.jpg", "side.jpg")
	slip := drawn().Area(bench.Slip).Outline.String()
	v := parsed(t, "measure", paths[0], paths[1], "--json", "--reference", "none",
		"--area", bench.Panel+"@side="+drawn().Area(bench.Panel).Outline.String(), "--area", area(bench.Frame),
		"--tie", "slip@front="+slip, "--tie", "slip@side="+slip)
	photos := v["photos"].([]any)
	require.Len(t, photos, 2)
	require.Len(t, requireKeys(t, photos[0], "photo", "calibration", "areas")["areas"], 1)
	require.Len(t, requireKeys(t, photos[1], "areas")["areas"], 2)
	pair := requireKeys(t, v["between"].([]any)[0], "photos", "tied", "plus_minus")
	require.Equal(t, true, pair["tied"])
}

func TestMeasureSeveralWrongUse(t *testing.T) {
	paths := copied(t, "front.jpg", "side.jpg")
	twice := filepath.Join(t.TempDir(), "front.jpg")
	for says, args := range map[string][]string{
		"No photo is named":                      {"measure"},
		`about a photo "back"`:                   {"measure", paths[0], paths[1], "--area", "x@back=1,1,9,9"},
		"No area is outlined in":                 {"measure", paths[0], paths[1], "--area", "x@front=1,1,9,9"},
		"does not say which photo":               {"measure", paths[0], paths[1], "--area", "x=1,1,9,9", "--tie", "slip=1,1,9,9"},
		`slip: This spot is outlined in 1 photo`: {"measure", paths[0], paths[1], "--area", "x=1,1,9,9", "--tie", "slip@front=1,1,9,9"},
		"has no name":                            {"measure", paths[0], paths[1], "--area", "1,1,9,9"},
		"--corners is about one photo": {
			"measure", paths[0], paths[1], "--area", "x=1,1,9,9", "--corners", "1,1 2,1 2,2 1,2", "--grey", "1,1,9,9",
		},
		`Two photos are called "front"`: {"measure", paths[0], twice, "--area", "x=1,1,9,9"},
		"Look at --area x.":             {"measure", paths[0], paths[1], "--area", "x=1,1,9"},
	} {
		code, _, stderr := huewright(args...)
		require.Equal(t, exitWrongUse, code, says)
		require.Contains(t, stderr, says)
		require.Contains(t, stderr, "hint: ")
	}
}
