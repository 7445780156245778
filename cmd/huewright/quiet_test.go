package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// What a script reads is the answer and nothing else: so many lines, each with its name and a tab.
func TestQuiet(t *testing.T) {
	piece, frame, panel := filepath.Join(tried(), demoPiece), area(bench.Frame), area(bench.Panel)
	log := filepath.Join(t.TempDir(), "log.db")
	for name, c := range map[string]struct {
		args  []string
		lines int // 0 for any number
		line  string
	}{
		"measure":     {[]string{"measure", front(), "--area", frame, "--area", panel}, 2, `^(frame|panel)\t[\d.]+ -?[\d.]+ -?[\d.]+ ± [\d.]+$`},
		"kept":        {[]string{"measure", front(), "--area", frame, "--piece", "cabinet", "--log", log}, 1, `^frame\t`},
		"compare":     {[]string{"compare", front(), "--area", frame, "--target", "#7a5a40"}, 1, `^frame\t[\d.]+ ± [\d.]+$`},
		"two colours": {[]string{"compare", "44,14,20", "#7a5a40"}, 1, `^[\d.]+$`},
		"plan":        {[]string{"plan", piece}, 3, `^(frame|panel|filled corner)\t(\d+ coats?|no coat)`},
		"what if":     {[]string{"plan", piece, "--coats", "frame=2 panel=1"}, 3, `^(frame\t2 coats|panel\t1 coat|filled corner\t)`},
		"check":       {[]string{"check", piece}, 1, `^filled corner\t`},
		"timetable":   {[]string{"timetable", piece, "--start", "2026-03-14T09:00"}, 0, `^(2026-03-1\dT\d\d:\d\d:00\S+|caution)\t\S`},
	} {
		code, stdout, stderr := huewright(append(c.args, "--quiet")...)
		require.Zero(t, code, stderr)
		lines := strings.Split(strings.TrimSuffix(stdout, "\n"), "\n")
		if c.lines > 0 {
			require.Len(t, lines, c.lines, "%s: %s", name, stdout)
		}
		for _, line := range lines {
			require.Regexp(t, regexp.MustCompile(c.line), line, name)
		}
	}
	code, stdout, stderr := huewright("log", "show", "cabinet", "--log", log, "--quiet")
	require.Zero(t, code, stderr)
	require.Regexp(t, `(?m)^\d{4}-\d\d-\d\dT\S+\tframe\tmeasured `, stdout)
	require.NotContains(t, stdout, "--full")
	code, _, stderr = huewright("plan", piece, "--quiet", "--full")
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "--full")
}
