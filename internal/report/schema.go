package report

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// A JSONResult is a kind of answer that is written as JSON.
type JSONResult struct {
	Name  string // of its schema
	Write string // the commands that write it
	of    reflect.Type
}

// JSONResults are all kinds of answers that this package writes as JSON, in the order of the work.
var JSONResults = []JSONResult{
	{"measure", "measure PHOTO", reflect.TypeFor[measureJSON]()},
	{"measure-several", "measure PHOTO PHOTO …", reflect.TypeFor[severalJSON]()},
	{"compare", "compare PHOTO", reflect.TypeFor[compareJSON]()},
	{"compare-colours", "compare COLOUR COLOUR", reflect.TypeFor[twoColoursJSON]()},
	{"carry", "carry", reflect.TypeFor[carryJSON]()},
	{"plan", "plan, log again", reflect.TypeFor[planJSON]()},
	{"preview", "preview", reflect.TypeFor[previewJSON]()},
	{"timetable", "timetable", reflect.TypeFor[timetableJSON]()},
	{"check", "check PHOTO", reflect.TypeFor[checkJSON]()},
	{"check-piece", "check PIECE.toml", reflect.TypeFor[checkPieceJSON]()},
	{"log-show", "log show", reflect.TypeFor[historyJSON]()},
	{"log-list", "log list", reflect.TypeFor[piecesJSON]()},
	{"log-find", "log find", reflect.TypeFor[foundJSON]()},
	{"log-scores", "log scores", reflect.TypeFor[scoresJSON]()},
	{"log-label", "log label", reflect.TypeFor[labelJSON]()},
	{"log-drift", "log drift", reflect.TypeFor[driftJSON]()},
}

// JSONResultNames are the names of JSONResults.
func JSONResultNames() (names []string) {
	for _, r := range JSONResults {
		names = append(names, r.Name)
	}
	return names
}

// A fieldGroup is the fields of one kind of object in an answer.
type fieldGroup struct {
	of reflect.Type
	in []string // where it stands: "areas[]", "areas[].coats[]", with no more than the key above; none for the answer itself
}

// groups are all kinds of objects in an answer, each behind the first in which it stands.
func (r JSONResult) groups() []*fieldGroup {
	all := []*fieldGroup{{of: r.of}}
	last := map[reflect.Type]string{} // the key of each group
	for i := 0; i < len(all); i++ {
		for _, f := range fieldsOf(all[i].of) {
			of, brackets := inside(f.of)
			if of.Kind() != reflect.Struct || of == reflect.TypeFor[time.Time]() {
				continue
			}
			k := slices.IndexFunc(all, func(g *fieldGroup) bool { return g.of == of })
			if k < 0 {
				k, all, last[of] = len(all), append(all, &fieldGroup{of: of}), f.key+brackets
			}
			in := f.key + brackets
			if above := last[all[i].of]; above != "" {
				in = above + "." + in
			}
			if !slices.Contains(all[k].in, in) {
				all[k].in = append(all[k].in, in)
			}
		}
	}
	return all
}

// inside is what a field holds behind pointers and lists, with [] for each list.
func inside(of reflect.Type) (element reflect.Type, brackets string) {
	for {
		switch of.Kind() {
		case reflect.Slice, reflect.Array:
			brackets += "[]"
			of = of.Elem()
		case reflect.Pointer:
			of = of.Elem()
		default:
			return of, brackets
		}
	}
}

// A field is one of a struct that is written as JSON.
type field struct {
	key      string
	says     string // as fields.toml has it; "" where it says nothing
	of       reflect.Type
	optional bool // left out where it is empty
}

// mayBeNull reports whether a field may be null, which its text says after a semicolon.
func (f *field) mayBeNull() bool { return strings.Contains(f.says, "; null ") }

// fieldsOf are those of a struct, with those of structs embedded in it in their place.
func fieldsOf(of reflect.Type) (all []field) {
	for i := range of.NumField() {
		f := of.Field(i)
		if f.Anonymous {
			all = append(all, fieldsOf(f.Type)...)
			continue
		}
		key, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		all = append(all, field{key, saysOf(of, key), f.Type, options == "omitempty"})
	}
	return all
}

//go:embed fields.toml
var fieldsFile []byte

// fieldTexts is fields.toml: by the name of a group, or "any", and the key.
var fieldTexts = sync.OnceValue(func() (texts map[string]map[string]string) {
	if err := toml.Unmarshal(fieldsFile, &texts); err != nil {
		panic(err) // it is built in
	}
	return texts
})

// saysOf is what a field is: as it is told of its group, or else of every field of its key.
func saysOf(of reflect.Type, key string) string {
	if says, told := fieldTexts()[defName(of)][key]; told {
		return says
	}
	return fieldTexts()["any"][key]
}

// defName is the name of a group in fields.toml and among the $defs of a schema.
func defName(of reflect.Type) string { return strings.TrimSuffix(of.Name(), "JSON") }

// Schema is the answer's JSON Schema, draft 2020-12. A closed one allows no other keys, which an answer of a later version
// may have.
func (r JSONResult) Schema(closed bool) []byte {
	s := schemaWriter{defs: map[string]any{}, closed: closed}
	whole := s.object(r.of)
	whole["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	whole["title"] = "huewright " + r.Name
	whole["$defs"] = s.defs
	text, err := json.MarshalIndent(whole, "", "  ")
	if err != nil {
		panic(err) // maps, lists and text
	}
	return append(text, '\n')
}

// A schemaWriter gathers the groups of a schema.
type schemaWriter struct {
	defs   map[string]any
	closed bool
}

func (s *schemaWriter) object(of reflect.Type) map[string]any {
	properties, required := map[string]any{}, []string{}
	for _, f := range fieldsOf(of) {
		is := s.value(f.of)
		if f.of == reflect.TypeFor[int]() && f.key == "version" {
			is["const"] = Version
		}
		if f.mayBeNull() {
			is = orNull(is)
		}
		is["description"] = f.says
		properties[f.key] = is
		if !f.optional {
			required = append(required, f.key)
		}
	}
	o := map[string]any{"type": "object", "properties": properties, "required": required}
	if s.closed {
		o["additionalProperties"] = false
	}
	return o
}

// orNull is a schema that allows null too.
func orNull(is map[string]any) map[string]any {
	if kind, simple := is["type"].(string); simple {
		is["type"] = []string{kind, "null"}
		return is
	}
	return map[string]any{"anyOf": []any{is, map[string]any{"type": "null"}}}
}

func (s *schemaWriter) value(of reflect.Type) map[string]any {
	switch of {
	case reflect.TypeFor[num]():
		return map[string]any{"type": "number"}
	case reflect.TypeFor[time.Time]():
		return map[string]any{"type": "string", "format": "date-time"}
	}
	switch of.Kind() {
	case reflect.Pointer:
		return s.value(of.Elem())
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": s.value(of.Elem())}
	case reflect.Array:
		items := s.value(of.Elem())
		if of.Elem().Kind() == reflect.Pointer {
			items = orNull(items)
		}
		return map[string]any{"type": "array", "items": items, "minItems": of.Len(), "maxItems": of.Len()}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": s.value(of.Elem())}
	case reflect.Struct:
		name := defName(of)
		if _, there := s.defs[name]; !there {
			s.defs[name] = s.object(of)
		}
		return map[string]any{"$ref": "#/$defs/" + name}
	}
	panic(fmt.Sprintf("%s cannot be written as JSON", of))
}

// FieldLines are the fields of an answer as a page of help has them: a line for each, group by group.
func (r JSONResult) FieldLines() string {
	var s strings.Builder
	for _, g := range r.groups() {
		s.WriteByte('\n')
		if len(g.in) > 0 {
			s.WriteString("In " + strings.Join(g.in, ", ") + ":\n\n")
		}
		for _, f := range fieldsOf(g.of) {
			s.WriteString("  " + f.key + "  " + f.says + "\n")
		}
	}
	return s.String()
}
