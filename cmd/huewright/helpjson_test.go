package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/report"
)

// Answers of the program itself have the keys, all of them and no others, that their schemas have.
func TestAnswersFitTheirSchemas(t *testing.T) {
	work := t.TempDir()
	require.NoError(t, os.CopyFS(work, os.DirFS(tried())))
	t.Chdir(work)
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(work, "log.db"))
	copied, err := os.ReadFile(demoPhoto)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("side.jpg", copied, 0o644))
	done(t, "plan", demoPiece, "--piece", "cabinet")
	done(t, "log", "area", "cabinet", "frame", "--wood", "ash")
	frame, corner := area(bench.Frame), drawn().Area(bench.Corner).Outline.String()
	commands := map[string][]string{
		"measure":         {"measure", demoPhoto, "--area", frame},
		"measure-several": {"measure", demoPhoto, "side.jpg", "--area", frame, "--reference", "none"},
		"compare":         {"compare", demoPhoto, "--area", frame, "--target", "#7a5a40"},
		"compare-colours": {"compare", "44,14,20", "#7a5a40"},
		"carry":           {"carry", demoPiece, "side.jpg"},
		"plan":            {"plan", demoPiece},
		"preview":         {"preview", demoPiece, "--out", "pictures", "--width", "300"},
		"timetable":       {"timetable", demoPiece},
		"check":           {"check", demoPhoto, "--repair", corner},
		"check-piece":     {"check", demoPiece},
		"log-show":        {"log", "show", "cabinet"},
		"log-list":        {"log", "list"},
		"log-find":        {"log", "find", "--near", "#7a5a40"},
		"log-scores":      {"log", "scores"},
		"log-label":       {"log", "label", "cabinet", "frame"},
		"log-drift":       {"log", "drift", "cabinet", "frame"},
	}
	for _, r := range report.JSONResults {
		require.Contains(t, commands, r.Name)
		answer, err := jsonschema.UnmarshalJSON(strings.NewReader(done(t, append(commands[r.Name], "--json")...)))
		require.NoError(t, err)
		text, err := jsonschema.UnmarshalJSON(bytes.NewReader(r.Schema(true)))
		require.NoError(t, err)
		c := jsonschema.NewCompiler()
		c.AssertFormat()
		require.NoError(t, c.AddResource(r.Name, text))
		schema, err := c.Compile(r.Name)
		require.NoError(t, err)
		require.NoError(t, schema.Validate(answer), r.Name)
	}
}

// Each answer that help lists has its page, as wide as the screen, and its schema.
func TestHelpOfAnswers(t *testing.T) {
	page := done(t, "help", "json")
	for _, r := range report.JSONResults {
		require.Regexp(t, `(?m)^  `+r.Name+` +\S`, page)
		require.JSONEq(t, string(r.Schema(false)), done(t, "help", "json", "--schema", r.Name))
		for _, width := range []string{"40", "80"} {
			t.Setenv("COLUMNS", width)
			for _, line := range strings.Split(done(t, "help", "json", r.Name), "\n") {
				assert.LessOrEqual(t, utf8.RuneCountInString(line), map[string]int{"40": 40, "80": 80}[width], line)
			}
		}
	}
	for _, args := range [][]string{{"help", "json", "plna"}, {"help", "json", "--schema", "plna"}} {
		code, stdout, stderr := huewright(args...)
		require.Equal(t, exitWrongUse, code)
		require.Empty(t, stdout)
		require.Contains(t, stderr, `Did you mean "plan"?`)
	}
	code, _, stderr := huewright("help", "plan", "--schema", "plan")
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "help json --schema plan")
}
