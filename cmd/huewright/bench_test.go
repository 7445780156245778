package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTimetableAndCard(t *testing.T) {
	piece := filepath.Join(tried(), demoPiece)
	ics := filepath.Join(t.TempDir(), "coats.ics")
	said := done(t, "timetable", piece, "--start", "2026-03-14T09:00", "--temperature", "12", "--humidity", "55", "--ics", ics)
	for _, s := range []string{"Saturday, 14 March", "[ ] 09:00  Test every layer on frame, panel and", "[ ] 09:15  Clean and degrease frame",
		"oo cold for nut-brown wash: 12 °C", "Or use another family that bears the",
		"The label, the safety data sheet and your local rules come before"} {
		require.Contains(t, said, s)
	}
	require.NotContains(t, said, "Coat 1 of", "what is too cold is not scheduled")
	calendar, err := os.ReadFile(ics)
	require.NoError(t, err)
	require.Contains(t, string(calendar), "BEGIN:VEVENT")
	answer := parsed(t, "timetable", piece, "--start", "2026-03-14T09:00", "--json")
	require.NotEmpty(t, answer["steps"])
	require.Len(t, answer["cautions"], 15)

	for _, name := range []string{"card.pdf", "card.html"} {
		out := filepath.Join(t.TempDir(), name)
		done(t, "card", piece, "--out", out, "--start", "2026-03-14T09:00", "--ref", "music cabinet #17")
		written, err := os.ReadFile(out)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(string(written), "%PDF") || strings.HasPrefix(string(written), "<!DOCTYPE html>"))
		code, _, _ := huewright("card", piece, "--out", out)
		require.Equal(t, exitWrongUse, code, "it writes over nothing")
	}
	for _, name := range []string{"client.pdf", "client.html"} {
		out := filepath.Join(t.TempDir(), name)
		done(t, "card", piece, "--client", "--hours", "14", "--out", out, "--start", "2026-03-14T09:00")
		written, err := os.ReadFile(out)
		require.NoError(t, err)
		if strings.HasSuffix(name, "html") {
			for _, s := range []string{"About 14 hours of work. Work begins on Saturday, 14 March 2026.", "Over the years", "by a warm lamp"} {
				require.Contains(t, string(written), s)
			}
			require.NotContains(t, string(written), "ΔE")
			require.NotContains(t, string(written), "L*")
		}
	}
	// What the label says goes before, in the units of the piece.
	labelled := pieceWith(t, "kind     = \"wash\"", "kind     = \"wash\"\nrecoat_after = 2\nnot_below = 50",
		"name = \"music cabinet\"", "name = \"music cabinet\"\nunits = \"us\"\nyear_made = 1930\n"+
			"old_finish = false\n\n[room]\ntemperature = 54\nhumidity = 50\nstart = \"2026-03-14T09:00\"\n")
	said = done(t, "timetable", labelled)
	require.Contains(t, said, "Coat 2 of nut-brown wash on frame")
	require.Contains(t, said, "as its label says")
	require.NotContains(t, said, "oo cold", "54 °F is over the label's 50")
	for _, wrong := range [][]string{
		{"timetable", piece, "--start", "soon"}, {"timetable", piece, "--humidity", "101"}, {"timetable", piece, "--temperature", "1000"},
		{"card", piece}, {"card", piece, "--out", "card.doc"},
		{"card", piece, "--out", "x.pdf", "--paper", "A3"}, {"card", piece, "--out", "x.pdf", "--hours", "3"},
		{"card", piece, "--out", "x.pdf", "--client", "--hours", "-3"}, {"card", piece, "--out", "x.pdf", "--client", "--ref", "17"},
		{"timetable", pieceWith(t, "name = \"music cabinet\"", "name = \"music cabinet\"\n[room]\nopens = \"25:00\"\n")},
		{"timetable", pieceWith(t, "kind     = \"wash\"", "kind     = \"wash\"\nrecoat_after = 5\nrecoat_before = 3")},
	} {
		code, _, stderr := huewright(wrong...)
		require.Equal(t, exitWrongUse, code, "%v: %s", wrong, stderr)
		require.Contains(t, stderr, "hint:")
	}
}

func TestVersionAndTopics(t *testing.T) {
	said := done(t, "version")
	for _, s := range []string{"huewright ", "MIT licence", "LGPL", "github.com/gen2brain/heic"} {
		require.Contains(t, said, s)
	}
	for topic, says := range map[string]string{
		"photo": "slip of printer paper", "chart": "four rows of six", "test-coats": "Leave half of the spot bare",
		"reading-a-plan": "8 times in 10", "safety": "Lead",
	} {
		require.Contains(t, strings.Join(strings.Fields(done(t, "help", topic)), " "), says)
	}
	man := filepath.Join(t.TempDir(), "man")
	done(t, "manual", "--out", man)
	require.FileExists(t, filepath.Join(man, "huewright-plan.1"))
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		require.Contains(t, done(t, "completion", shell), "huewright")
	}
}
