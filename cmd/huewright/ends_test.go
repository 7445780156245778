package main

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/cmd/huewright/internal/shell"
	"huewright/imageio"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

func TestLimits(t *testing.T) {
	dir := t.TempDir()
	many := filepath.Join(dir, "many.toml")
	shot, err := os.ReadFile(front())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "front.jpg"), shot, 0o644))
	text := "name = \"x\"\n[target]\nlab = [40, 10, 20]\n[[photo]]\nname = \"front\"\nfile = \"front.jpg\"\n"
	for i := range 3 {
		text += "[[area]]\nname = \"" + strings.Repeat("a", 150+i) + "\"\noutline = \"490,200,55,360\"\n" +
			"[[coating]]\nname = \"" + strings.Repeat("k", i+1) + "\"\nkind = \"wash\"\nchip = { lab = [30, 8, 12] }\n"
	}
	require.NoError(t, os.WriteFile(many, []byte(text), 0o644))
	long := filepath.Join(dir, "long.toml")
	require.NoError(t, os.WriteFile(long, []byte(strings.Repeat("# nothing\n", 500_000)), 0o644))

	for name, c := range map[string]struct {
		args []string
		code int
		says string
	}{
		"megapixels": {
			[]string{"--limit", "megapixels=1", "measure", front(), "--area", area("frame")}, exitPhoto,
			"The limit for a JPEG is 1 megapixels",
		},
		"megabytes": {
			[]string{"measure", front(), "--area", area("frame"), "--limit", "megabytes=0.01"}, exitPhoto, "The limit is 0.0 MB",
		},
		"areas": {[]string{"plan", many, "--limit", "areas=2"}, exitWrongUse, "3 areas; the limit is 2"},
		"areas here": {
			[]string{"measure", front(), "--area", area("frame"), "--area", area("panel"), "--limit", "areas=1"}, exitWrongUse,
			"2 areas; the limit is 1",
		},
		"coatings":   {[]string{"plan", many, "--limit", "coatings=1"}, exitWrongUse, "3 coatings; the limit is 1"},
		"letters":    {[]string{"plan", many, "--limit", "letters=151"}, exitWrongUse, "is 152 letters long; the limit is 151"},
		"a long one": {[]string{"plan", long}, exitWrongUse, "is longer than 4 MB"},
		"seconds":    {[]string{"demo", "--limit", "seconds=0.001"}, exitTooSlow, "longer than --limit seconds"},
		"no number":  {[]string{"demo", "--limit", "seconds=soon"}, exitWrongUse, "not a name and a number"},
		"no limit":   {[]string{"demo", "--limit", "miles=3"}, exitWrongUse, "The limits are megapixels"},
	} {
		t.Run(name, func(t *testing.T) {
			code, _, stderr := huewright(c.args...)
			require.Equal(t, c.code, code, stderr)
			require.Contains(t, stderr, c.says)
			require.Contains(t, stderr, "hint: ")
		})
	}
	code, _, stderr := huewright("plan", many)
	require.Zero(t, code, stderr)
	code, _, stderr = huewright("measure", front(), "--area", area("frame"), "--limit", "megapixels=500", "--limit", "seconds=600")
	require.Zero(t, code, stderr)
}

// The photo of an overlay is opened within the limits that were raised or lowered, as the measured one is.
func TestOverlayKeepsTheLimits(t *testing.T) {
	ctx := shell.WithLimits(t.Context(), piece.Limits{Photo: imageio.Limits{Megapixels: 1}})
	flags := photoFlags{overlay: filepath.Join(t.TempDir(), "seen.png")}
	err := flags.writeOverlay(ctx, workshop.MeasureRequest{Photo: front()}, workshop.Calibration{Reference: "none"})
	require.Equal(t, exitPhoto, exitCode(err), "%v", err)
}

func TestEndedByItsContext(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	time.AfterFunc(20*time.Millisecond, stop)
	start := time.Now()
	var out, errs strings.Builder
	code := run(ctx, []string{"demo"}, nil, &out, &errs)
	require.Less(t, time.Since(start), 2*time.Second)
	if code != exitDone { // a machine may be fast enough to be done within the grace
		require.Equal(t, exitEnded, code)
		require.Contains(t, errs.String(), "Nothing was half written")
	}
}

// The same request gives the same bytes, on one processor and on several.
func TestSameInSameOut(t *testing.T) {
	piece := filepath.Join(tried(), demoPiece)
	for _, args := range [][]string{
		{"plan", piece, "--json"}, {"measure", front(), "--area", area("frame"), "--json"}, {"check", piece, "--json"},
	} {
		answer := func(processors int) string {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
			code, stdout, stderr := huewright(args...)
			require.Zero(t, code, stderr)
			return stdout
		}
		first := answer(2)
		require.Equal(t, first, answer(1), args[0])
		require.Equal(t, first, answer(3), args[0])
	}
}
