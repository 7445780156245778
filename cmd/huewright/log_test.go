package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/words"
)

// done requires that args succeed, and returns what they say.
func done(t *testing.T, args ...string) string {
	t.Helper()
	code, stdout, stderr := huewright(args...)
	require.Zero(t, code, stderr)
	return stdout
}

// requireSays requires that an output has the sentence of a code.
func requireSays(t *testing.T, output string, code fault.Code, values ...any) {
	t.Helper()
	require.Contains(t, output, words.Speaker{}.Say(fault.Say(code, values...)))
}

// pieceWith is the demo's piece file with some text replaced, beside its photo.
func pieceWith(t *testing.T, pairs ...string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(tried(), demoPiece))
	require.NoError(t, err)
	photo, err := os.ReadFile(front())
	require.NoError(t, err)
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, demoPhoto), photo, 0o644))
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, string(text), pairs[i])
		text = bytes.Replace(text, []byte(pairs[i]), []byte(pairs[i+1]), 1)
	}
	path := filepath.Join(folder, "piece.toml")
	require.NoError(t, os.WriteFile(path, text, 0o644))
	return path
}

// laidOnPanel is one coat on the panel, a little darker than was foreseen.
const laidOnPanel = "\n[[area.laid]]\ncoating = \"nut-brown wash\"\ncoats = 1\nafter = { lab = [41.0, 14.0, 20.5] }\n"

// TestALogTellsTheWholeStory plans a piece, lays a coat, plans again, and begins another piece with
// nothing known of its coating but what the log has.
func TestALogTellsTheWholeStory(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.db")
	t.Setenv("HUEWRIGHT_LOG", log)
	plain := filepath.Join(tried(), demoPiece)
	require.Contains(t, done(t, "plan", plain, "--piece", "music cabinet"), "kept in the log under music cabinet: 19 new entries")
	require.Contains(t, done(t, "plan", plain, "--piece", "Music Cabinet"), "has this under Music Cabinet already")
	done(t, "log", "area", "music cabinet", "panel", "--cut", "quarter-sawn", "--sanding", "150, 180")
	done(
		t, "log", "coat", "music cabinet", "panel", "--coating", "nut-brown wash", "--paint", "1", "--thinner", "4", "--with", "water",
		"--temperature", "64", "--fahrenheit", "--humidity", "55",
	)

	corner := "\n[[area]]\nname    = \"filled corner\""
	after := pieceWith(t, corner, laidOnPanel+corner)
	require.Contains(t, done(t, "plan", after, "--piece", "music cabinet"), "After 1 coat of nut-brown wash the panel is")
	require.Contains(t, strings.Join(strings.Fields(done(t, "log", "show", "music cabinet")), " "), "Laid: 1 coat of nut-brown wash")
	shown := done(t, "log", "show", "music cabinet", "--full")
	for _, line := range []string{
		"sapele, quarter-sawn, sealed, sanded 150, 180, 0.31 m²", "18 °C, 55 %", "plan: no more coats", "(no longer counts)",
	} {
		require.Contains(t, strings.Join(strings.Fields(shown), " "), line)
	}
	scores := done(t, "log", "scores")
	require.Contains(t, scores, "nut-brown wash")
	require.Contains(t, scores, "1 to within one")
	label := done(t, "log", "label", "music cabinet", "panel")
	require.Contains(t, label, "quarter-sawn")
	require.NotContains(t, label, "\x1b", "to be printed or copied")
	require.Contains(t, done(t, "log", "find", "--near", "47,18,22", "--wood", "sapele"), "ΔE00")

	svg := filepath.Join(t.TempDir(), "panel.svg")
	require.Contains(t, done(t, "log", "drift", "music cabinet", "panel", "--svg", svg), "Some woods get darker in a room and some lighter")
	require.FileExists(t, svg)

	// Another piece, whose coating only the log knows.
	code, _, stderr := huewright("plan", pieceWith(t, "chip", "earlier = true\nchip"), "--piece", "desk")
	require.Zero(t, code, stderr)
	bare := pieceWith(t)
	text, err := os.ReadFile(bare)
	require.NoError(t, err)
	cut := bytes.Index(text, []byte("chip "))
	require.NoError(t, os.WriteFile(bare, append(text[:cut:cut], []byte("earlier = true\n")...), 0o644))
	answer := parsedWithNotice(t, "plan", bare, "--piece", "writing desk", "--json")
	earlier := answer["earlier"].([]any)[0].(map[string]any)
	require.Equal(t, []any{"music cabinet", "desk"}, earlier["pieces"].([]any)[:2])
	code, _, stderr = huewright("plan", bare)
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "Neither the piece nor the log knows anything")

	// What was asked can be asked again, and is answered the same.
	plans := parsed(t, "log", "show", "music cabinet", "--json")["entries"].([]any)
	for _, e := range plans {
		if e := e.(map[string]any); e["kind"] == "plan" {
			again := done(t, "log", "again", fmt.Sprintf("#%v", e["number"]), "--json")
			first := done(t, "plan", plain, "--json")
			require.Equal(t, first, again)
			break
		}
	}

	// All of it goes into another log and comes out the same.
	one, two, other := filepath.Join(t.TempDir(), "one.jsonl"), filepath.Join(t.TempDir(), "two.jsonl"), filepath.Join(t.TempDir(), "other.db")
	done(t, "log", "export", one)
	requireSays(t, done(t, "log", "import", one, "--log", other), "logcmd.photos-missing", "n", 1, "folder", logbook.PhotosOf(other))
	done(t, "log", "export", two, "--log", other)
	first, err := os.ReadFile(one)
	require.NoError(t, err)
	second, err := os.ReadFile(two)
	require.NoError(t, err)
	require.Equal(t, string(first), string(second))
	code, _, _ = huewright("log", "export", one)
	require.Equal(t, exitWrongUse, code, "it writes over nothing")
	copied := filepath.Join(t.TempDir(), "copy.db")
	done(t, "log", "backup", copied)
	requireSays(t, done(t, "log", "check", "--log", copied), "logcmd.whole")
}

// TestWhatIsKept keeps readings and repairs, photos and notes.
func TestWhatIsKept(t *testing.T) {
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(t.TempDir(), "deep", "log.db"))
	code, _, stderr := huewright("log", "list")
	require.Equal(t, exitLog, code)
	requireSays(t, stderr, "logbook.missing")
	require.Contains(t, done(t, "measure", front(), "--area", area("frame"), "--area", area("panel"), "--piece", "cabinet"), "4 new entries")
	require.Contains(t, done(t, "measure", front(), "--area", area("frame"), "--area", area("panel"), "--piece", "cabinet"), "already")
	require.Contains(t, done(t, "check", filepath.Join(tried(), demoPiece), "--piece", "cabinet"), "kept in the log")
	requireSays(t, done(t, "log", "photo", "cabinet", front()), "logcmd.photos", "n", 1, "new", 0)
	done(t, "log", "note", "cabinet", "the left door drinks more", "--area", "panel")
	done(t, "log", "reading", "cabinet", "panel", "--lab", "44.1, 14.2, 19.8", "--plus-minus", "0.5")
	requireSays(t, done(t, "log", "undo", "#1", "--because", "a trial"), "logcmd.undone", "number", 9, "undone", 1)
	code, _, stderr = huewright("log", "undo", "1")
	require.Equal(t, exitWrongUse, code)
	requireSays(t, stderr, "logbook.put-right", "number", 1, "by", 9)
	for _, wrong := range [][]string{
		{"log", "show", "nothing of the kind"}, {"log", "undo", "first"}, {"log", "undo", "999"},
		{"log", "reading", "cabinet", "panel", "--lab", "1,2"},
		{"log", "reading", "cabinet", "panel", "--lab", "101,2,3"}, {"log", "coat", "cabinet", "panel"},
		{"log", "coat", "cabinet", "panel", "--coating", "x", "--kind", "jam"},
		{"log", "coat", "cabinet", "panel", "--coating", "x", "--humidity", "101"}, {"log", "note", "cabinet", ""},
		{"log", "note", "cabinet", "x", "--at", "soon"},
		{"log", "find", "--near", "red"}, {"log", "find", "--near", "200,0,0"}, {"log", "find", "--near", "44,14,19", "--most", "-5"},
		{"log", "find", "--limit", "-5"}, {"log", "find", "--limit", "soon"}, {"log", "area", "cabinet", "x", "--square-metres", "-1"},
		{"log", "coat", "cabinet", "panel", "--coating", "x", "--dried", "-1"},
		{"log", "coat", "cabinet", "panel", "--coating", "x", "--wiped-after", "NaN"}, {"log", "begin", "cabinet"}, {"log", "begin", " "},
		{"log", "area", "cabinet", "x", "--surface", "wet"}, {"log", "shuffle"},
		{"log", "import", "nothing.jsonl"}, {"measure", front(), "--area", area("frame"), "--log", "x.db"}, {"log", "photo", "cabinet"},
		{"log", "again", "2000"},
	} {
		code, _, stderr := huewright(wrong...)
		require.Equal(t, exitWrongUse, code, "%v: %s", wrong, stderr)
		require.Contains(t, stderr, "hint:", "%v", wrong)
	}
	code, _, _ = huewright("log", "photo", "cabinet", filepath.Join(tried(), demoPiece))
	require.Equal(t, exitPhoto, code)
	_, _, stderr = huewright("log", "area", "cabinet", "x", "--square-metres", "-1")
	requireSays(t, stderr, "logbook.area-size", "size", -1.0)
	_, _, stderr = huewright("log", "coat", "cabinet", "panel", "--coating", "x", "--dried", "-1")
	requireSays(t, stderr, "logbook.dried", "hours", -1.0)
	require.Contains(t, done(t, "log", "where"), "deep")
	require.Contains(t, parsed(t, "log", "where", "--json")["log"], "deep")
}

// "log find" shows as many entries as --most says. An older script says --limit, and is told so.
func TestFindShowsTheMost(t *testing.T) {
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(t.TempDir(), "log.db"))
	done(t, "log", "begin", "cabinet")
	for _, note := range []string{"first", "second", "third"} {
		done(t, "log", "note", "cabinet", note)
	}
	require.Len(t, parsed(t, "log", "find", "--most", "2", "--json")["found"], 2)
	require.Len(t, parsed(t, "log", "find", "--json", "--limit", "seconds=60")["found"], 3, "the limit of every command")
	code, stdout, stderr := huewright("log", "find", "--limit", "1", "--limit", "seconds=60", "--json")
	require.Zero(t, code, stderr)
	requireSays(t, stderr, "logcmd.limit-is-most", "n", 1)
	var v map[string]any
	require.NoError(t, json.Unmarshal([]byte(stdout), &v))
	require.Len(t, v["found"], 1)
}

func parsedWithNotice(t *testing.T, args ...string) map[string]any {
	t.Helper()
	code, stdout, stderr := huewright(args...)
	require.Zero(t, code, stderr)
	require.Contains(t, stderr, "kept in the log", "the notice stands beside the JSON, not in it")
	var v map[string]any
	require.NoError(t, json.Unmarshal([]byte(stdout), &v))
	return v
}

func TestPreviewWritesPictures(t *testing.T) {
	out := filepath.Join(t.TempDir(), "pictures")
	piece := filepath.Join(tried(), demoPiece)
	said := done(t, "preview", piece, "--out", out, "--width", "400", "--png")
	require.Contains(t, said, "a guide, not a proof")
	for _, name := range []string{
		"front-before.png", "front-after.png", "front-pair.png", "front-lamp.png", "front-lights.png",
		"frame-strip.png", "panel-strip.png", "filled-corner-strip.png",
	} {
		require.FileExists(t, filepath.Join(out, name))
	}
	code, _, stderr := huewright("preview", piece, "--out", out, "--width", "400", "--png")
	require.Equal(t, exitWrongUse, code, "it writes over nothing")
	require.Contains(t, stderr, "--overwrite")
	answer := parsed(t, "preview", piece, "--out", out, "--width", "400", "--json")
	require.Len(t, answer["files"].([]any), 8)
	for _, wrong := range [][]string{
		{"preview", piece}, {"preview", piece, "--out", front()}, {"preview", piece, "--out", out, "--width", "-7"},
		{"preview", front(), "--out", out},
	} {
		code, _, stderr := huewright(wrong...)
		require.Equal(t, exitWrongUse, code, "%v: %s", wrong, stderr)
	}
}
