package web

import (
	"go/ast"
	"go/parser"
	source "go/token"
	"maps"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// Every step is whole: a name of its own, one thing that it does, words for undoing it made of its own
// fields, and a place on the page.
func TestStepsAreWhole(t *testing.T) {
	names := map[string]bool{}
	for i := range steps {
		st := &steps[i]
		require.NotEmpty(t, st.name)
		require.False(t, names[st.name], "two steps are called %s", st.name)
		names[st.name] = true
		require.Equal(t, st.change == nil, st.act != nil, "%s: a change or an act", st.name)
		if st.change != nil {
			require.NotEmpty(t, st.did, st.name)
			require.NotEmpty(t, st.fields(), st.name)
		}
		for _, field := range regexp.MustCompile(`\{([^}]*)\}`).FindAllStringSubmatch(st.did, -1) {
			require.Contains(t, st.fields(), field[1], st.name)
		}
		if st.at != "" {
			require.NotNil(t, screenNamed(st.at), st.name)
		}
		require.Subset(t, st.fields(), strings.Fields(st.with), st.name)
	}
	require.Nil(t, stepNamed(""))
	require.Nil(t, stepNamed("no such step"))
}

// posted are the fields of every form of the pages that asks for a step: the step's name, then the form's
// fields.
func posted(t *testing.T) (all [][]string) {
	pages, err := filepath.Glob("pages/*.html")
	require.NoError(t, err)
	name := regexp.MustCompile(`[^-]\bname="([^"]*)"`)
	draws := regexp.MustCompile(`\{\{template "draw" dict [^}]*"prefix" "([^"]*)"`)
	asks := regexp.MustCompile(`name="do" value="([^"]*)"`)
	for _, path := range pages {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, form := range regexp.MustCompile(`(?s)<form .*?</form>`).FindAllString(string(text), -1) {
			do := asks.FindStringSubmatch(form)
			if strings.Contains(form, `action="{{$do}}"`) || strings.Contains(form, `action="{{$.Do}}"`) {
				require.NotNil(t, do, "a form asks for no step: %s", form)
			}
			if do == nil {
				continue
			}
			fields := []string{do[1]}
			for _, m := range name.FindAllStringSubmatch(form, -1) {
				if m[1] != "do" {
					fields = append(fields, m[1])
				}
			}
			for _, m := range draws.FindAllStringSubmatch(form, -1) {
				fields = append(fields, m[1]+"photo", m[1]+"outline")
			}
			if strings.Contains(form, `{{template "this-photo"`) {
				fields = append(fields, "photo")
			}
			all = append(all, fields)
		}
	}
	return all
}

// Every form asks for a step that there is, with fields that the step sees and all those that it needs; and
// every step has a form.
func TestFormsAskForSteps(t *testing.T) {
	seen := map[string]bool{}
	for _, form := range posted(t) {
		st := stepNamed(form[0])
		require.NotNil(t, st, "no step is called %s", form[0])
		seen[st.name] = true
		for _, field := range form[1:] {
			require.Contains(t, st.fields(), field, "the form of %s brings what the step does not see", st.name)
		}
		for _, field := range strings.Fields(st.needs) {
			require.Contains(t, form[1:], field, "the form of %s has not what the step needs", st.name)
		}
	}
	require.Len(t, seen, len(steps), "steps without a form: of %d forms are %v", len(posted(t)), slices.Sorted(maps.Keys(seen)))
}

// Without any one of the fields that it needs a change is refused; with all of them it is made, and called
// what the page then offers to undo.
func TestStepsNeedTheirFields(t *testing.T) {
	for i := range steps {
		st := &steps[i]
		if st.change == nil {
			continue
		}
		full := url.Values{}
		for _, field := range strings.Fields(st.needs) {
			full.Set(field, "x")
		}
		for _, prefix := range strings.Fields(st.colours) {
			full.Set(prefix+"-colour", "#504030")
		}
		if st.name == "remove" {
			full.Set("what", "area")
		}
		if st.name == "move" || st.name == "no-slip" {
			full.Set("outline", "1,2,30,40")
		}
		require.NoError(t, st.change(aDraft(), form{full}), st.name)
		require.NotContains(t, st.says(form{full}), "{", st.name)
		for _, field := range strings.Fields(st.needs) {
			if st.name == "remove" && field == "name" {
				continue // nothing has no name: nothing is taken away
			}
			without := maps.Clone(full)
			delete(without, field)
			require.Error(t, st.change(aDraft(), form{without}), "%s without %s", st.name, field)
		}
	}
}

// aDraft is a draft in which everything is called x.
func aDraft() *pieceDraft {
	return &pieceDraft{
		Piece: piece.Piece{
			Name: "desk", Photos: []piece.Photo{{Name: "x", Reference: "none"}},
			Areas: []piece.Area{{Name: "x", Photo: "y"}}, Coatings: []piece.Coating{{Name: "x"}},
		},
		Read: map[string]workshop.SpotReading{},
	}
}

// A step that reads a field which the table does not give it would find it empty always.
func TestStepsReadTheFieldsOfTheTable(t *testing.T) {
	reads := fieldsRead(t)
	for i := range steps {
		st := &steps[i]
		do := reflect.ValueOf(st.act)
		if st.change != nil {
			do = reflect.ValueOf(st.change)
		}
		name := runtime.FuncForPC(do.Pointer()).Name()
		name = name[strings.LastIndexByte(name, '.')+1:]
		want := st.fields()
		slices.Sort(want)
		got := slices.Sorted(maps.Keys(reads[name]))
		require.ElementsMatch(t, want, got, "%s, by %s", st.name, name)
	}
}

// fieldsRead are the fields of forms that each function of the package reads, as its source has it.
func fieldsRead(t *testing.T) map[string]map[string]bool {
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	all := map[string]map[string]bool{}
	for _, path := range sources {
		file, err := parser.ParseFile(source.NewFileSet(), path, nil, 0)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			fn, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			read := map[string]bool{}
			all[fn.Name.Name] = read
			ast.Inspect(fn, func(n ast.Node) bool {
				call, ok := n.(*ast.CallExpr)
				if !ok {
					return true
				}
				method, ok := call.Fun.(*ast.SelectorExpr)
				if !ok {
					return true
				}
				switch method.Sel.Name {
				case "slip":
					read["photo"], read["outline"] = true, true
				case "mixed":
					for _, n := range []string{"1", "2", "3"} {
						read["part-"+n], read["parts-"+n] = true, true
					}
					read["weighed"] = true
				case "dilution":
					read["paint"], read["thinner"] = true, true
				case "text", "required", "outline", "number", "optionalNumber", "yesNo", "Get", "source", "requiredSource":
					key, ok := call.Args[0].(*ast.BasicLit)
					if !ok {
						return true
					}
					field, err := strconv.Unquote(key.Value)
					require.NoError(t, err)
					if !strings.HasSuffix(strings.ToLower(method.Sel.Name), "source") {
						read[field] = true
						return true
					}
					for _, part := range sourceFields {
						read[field+part] = true
					}
				}
				return true
			})
		}
	}
	return all
}
