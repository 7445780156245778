package report

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every field says what it is, in few words; one that may be null says when; and nothing is said that no field has.
func TestEveryFieldSaysWhatItIs(t *testing.T) {
	used := map[string]bool{}
	seen := map[reflect.Type]bool{}
	var visit func(of reflect.Type)
	visit = func(of reflect.Type) {
		if seen[of] {
			return
		}
		seen[of] = true
		for i := range of.NumField() {
			f := of.Field(i)
			if f.Anonymous {
				visit(f.Type)
				continue
			}
			key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			says := saysOf(of, key)
			where := defName(of) + "." + key
			assert.NotEmpty(t, says, "say in fields.toml what %s is, and its unit", where)
			assert.LessOrEqual(t, len(strings.Fields(says)), 20, where)
			if f.Type.Kind() == reflect.Pointer && !strings.Contains(f.Tag.Get("json"), "omitempty") {
				assert.Contains(t, says, "; null ", "%s may be null: say when", where)
			}
			if _, told := fieldTexts()[defName(of)][key]; told {
				used[where] = true
			} else {
				used["any."+key] = true
			}
			if element, _ := inside(f.Type); element.Kind() == reflect.Struct && element != reflect.TypeFor[time.Time]() {
				visit(element)
			}
		}
	}
	for _, r := range JSONResults {
		visit(r.of)
	}
	for group, texts := range fieldTexts() {
		for key := range texts {
			assert.True(t, used[group+"."+key], "no field is %s.%s", group, key)
		}
	}
}

// Fields come group by group, with what they stand in.
func TestFieldLines(t *testing.T) {
	for _, r := range JSONResults {
		lines := r.FieldLines()
		require.True(t, strings.HasPrefix(lines, "\n  version  "), r.Name)
		if r.Name == "plan" {
			require.Contains(t, lines, "\nIn areas[].coats[], laid[].coats[]:\n\n  coating  name of the coating\n  count  number of coats\n")
		}
	}
}
