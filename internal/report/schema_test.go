package report_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"huewright/internal/report"
)

// resultOf is the name of the result that a golden is one of, by how the golden's name begins.
var resultOf = map[string]string{
	"measure": "measure", "several": "measure-several", "compare": "compare", "carry": "carry", "difference": "compare-colours",
	"plan":    "plan",
	"preview": "preview", "timetable": "timetable", "check": "check", "check-piece": "check-piece", "history": "log-show",
	"pieces": "log-list", "found": "log-find", "scores": "log-scores", "label": "log-label", "drift": "log-drift",
}

func compiled(t *testing.T, r report.JSONResult) *jsonschema.Schema {
	text, err := jsonschema.UnmarshalJSON(bytes.NewReader(r.Schema(true)))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	require.NoError(t, c.AddResource("result.json", text))
	schema, err := c.Compile("result.json")
	require.NoError(t, err)
	return schema
}

// Every answer has just the keys that its schema has, of the kinds that it says.
func TestGoldensFitTheirSchemas(t *testing.T) {
	schemas, held := map[string]*jsonschema.Schema{}, map[string]bool{}
	for _, r := range report.JSONResults {
		schemas[r.Name] = compiled(t, r)
	}
	paths, err := filepath.Glob("testdata/*.json.golden")
	require.NoError(t, err)
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".json.golden")
		result, whole := resultOf[name]
		if !whole {
			first, _, _ := strings.Cut(name, "-")
			result = resultOf[first]
		}
		require.Contains(t, schemas, result, "%s is an answer that has no schema: add it to JSONResults", path)
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		answer, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		require.NoError(t, err)
		require.NoError(t, schemas[result].Validate(answer), path)
		held[result] = true
		object := answer.(map[string]any)
		object["shade"] = "brown"
		require.Error(t, schemas[result].Validate(answer), "a key that the schema lacks")
		delete(object, "shade")
		delete(object, "version")
		require.Error(t, schemas[result].Validate(answer), "a key that the answer lacks")
	}
	for name := range schemas {
		require.True(t, held[name], "no golden of %s", name)
	}
}

// Every function that writes JSON has its schema.
func TestEveryAnswerHasASchema(t *testing.T) {
	writer := regexp.MustCompile(`(?m)^func [A-Z]\w+JSON\(w io\.Writer`)
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	writers := 0
	for _, file := range files {
		source, err := os.ReadFile(file)
		require.NoError(t, err)
		writers += len(writer.FindAll(source, -1))
	}
	require.Equal(t, writers, len(report.JSONResults), "add the answer to JSONResults, and say in fields.toml what its fields are")
}

// A schema as it is printed allows further keys, which may come without a new version.
func TestSchemasAreOpen(t *testing.T) {
	for _, r := range report.JSONResults {
		require.True(t, json.Valid(r.Schema(false)), r.Name)
		require.NotContains(t, string(r.Schema(false)), `"additionalProperties": false`)
	}
}
