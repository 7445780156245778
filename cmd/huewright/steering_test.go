package main

import (
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

// Names out of a piece file and a log never steer a terminal, whichever command prints them.
func TestNamesNeverSteerATerminal(t *testing.T) {
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(t.TempDir(), "log.db"))
	wicked := `\u202e\u001b[2J\u009b31m\u2066`
	piece := pieceWith(
		t, `"music cabinet"`, `"music cabinet`+wicked+`"`, `"frame"`, `"frame`+wicked+`"`, `"nut-brown wash"`, `"nut-brown wash`+wicked+`"`,
		`"filled corner"    #`, `"filled corner`+wicked+`"    #`,
	)
	name := "cabinet" + "\u202e\x1b[2J"
	out := filepath.Join(t.TempDir(), "pictures")
	spelt := 0
	for _, args := range [][]string{
		{"plan", piece, "--piece", name}, {"plan", piece, "--json"}, {"timetable", piece}, {"timetable", piece, "--json"},
		{"preview", piece, "--out", out, "--width", "300"}, {"preview", piece, "--out", out + "2", "--width", "300", "--json"},
		{"card", piece, "--out", filepath.Join(t.TempDir(), "card\u202e.pdf")}, {"check", piece}, {"check", piece, "--json"},
		{"measure", front(), "--area", "frame" + name + "=490,200,55,360"},
		{"compare", front(), "--area", "frame" + name + "=490,200,55,360", "--target", "frame" + name},
		{"log", "list"}, {"log", "show", name}, {"log", "show", name, "--json"}, {"log", "find", "frame"}, {"log", "export"},
		{"log", "note", name, "red \x1b[31m"}, {"log", "begin", name + "2"}, {"log", "show", name + "3"}, {"plan", name}, {name}, {"log", name},
		{"help", name}, {"plan", "--" + name}, {"log", "where", "--log", name},
	} {
		_, stdout, stderr := huewright(args...)
		require.NotEmpty(t, stdout+stderr, "%q", args)
		for _, r := range stdout + stderr {
			steers := unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r)
			require.False(t, steers, "%q: %q", args, stdout+stderr)
		}
		spelt += strings.Count(stdout+stderr, `\u202e`)
		require.False(t, strings.ContainsRune(stdout+stderr, unicode.ReplacementChar), "%q", args)
	}
	require.Greater(t, spelt, 50, "the names were printed at all")
}
