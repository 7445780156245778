package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
)

const sourcesPage = "internal/SOURCES.md"

var (
	// listed is an entry: its key in brackets, then the author or the name of the standard.
	listed = regexp.MustCompile(`(?m)^- \[([a-z0-9-]+)\] (.+)$`)
	// authorYear is how comments cite a paper: "Kubelka (1948)", "Kubelka and Munk (1931)", "Paravina et al. (2015)".
	authorYear = regexp.MustCompile(`((?:\p{Lu}[\p{L}’'-]+(?:,? |, and | and | et al\. ))+)\(((?:18|19|20)\d\d)\)`)
	// standard is how comments cite one.
	standard = regexp.MustCompile(`\b(?:ISO(?:/IEC)? \d+(?:-\d+)?|IEC \d+-\d+(?:-\d+)?|CIE \d+[:-]\d{4}|ICC\.1:\d{4}(?:-\d\d)?|` +
		`ITU-[TR] [A-Z]+\.\d+(?:-\d+)?|RFC \d+|ASTM E\d+|CIPA DC-\d+|NIST SP \d+|TIFF \d\.\d|DNG \d\.\d|DCF \d\.\d|PMC\d+)`)
	doi          = regexp.MustCompile(`doi:(10\.[0-9]+/[A-Za-z0-9./-]*[A-Za-z0-9])`)
	namesASource = regexp.MustCompile(`\bSources?(?: of [^:.]*| \(from memory\))?: `)
)

// Every published source that a comment cites is in the list, and every entry of the list is cited by a comment.
func TestSourcesAreListed(t *testing.T) {
	page := readPage(t, sourcesPage)
	cited := map[string]bool{} // by key
	for _, entry := range listed.FindAllStringSubmatch(page, -1) {
		key := entry[1]
		require.NotContains(t, cited, key, "two entries of one key")
		require.Truef(t, strings.HasPrefix(slug(entry[2]), slug(startOf(key))), "[%s] must begin with its author or name: %s", key, entry[2])
		cited[key] = false
	}
	require.Greater(t, len(cited), 50, "entries of "+sourcesPage)

	cite := func(where, text, key string) {
		require.Containsf(t, cited, key, "%s cites %q, which %s does not list", where, text, sourcesPage)
	}
	for where, text := range comments(t) {
		for _, m := range authorYear.FindAllStringSubmatch(text, -1) {
			first := strings.Trim(strings.FieldsFunc(m[1], unicode.IsSpace)[0], ",")
			cite(where, m[0], slug(first)+m[2])
			cited[slug(first)+m[2]] = true
		}
		for _, m := range standard.FindAllString(text, -1) {
			cite(where, m, slug(m))
		}
		for _, m := range doi.FindAllStringSubmatch(text, -1) {
			require.Containsf(t, page, "doi:"+m[1], "%s cites a doi that %s does not list", where, sourcesPage)
		}
		names := "-" + slug(text) + "-"
		known := authorYear.MatchString(text)
		for key := range cited {
			if strings.Contains(names, "-"+key+"-") {
				cited[key], known = true, true
			}
		}
		require.Truef(t, known || !namesASource.MatchString(text), "%s names a source that %s does not list: %s", where, sourcesPage, text)
	}
	for key, is := range cited {
		require.Truef(t, is, "[%s] of %s is cited nowhere", key, sourcesPage)
	}
}

// comments are those of all Go sources, tests too, and the schemas of the log, by where they stand, each on one line.
func comments(t *testing.T) map[string]string {
	all := map[string]string{}
	eachSource(t, ".sql", func(path string) {
		schema, err := os.ReadFile(path)
		require.NoError(t, err)
		all[path] = oneLine(string(schema))
	})
	eachSource(t, ".go", func(path string) {
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		require.NoError(t, err)
		for _, group := range file.Comments {
			all[files.Position(group.Pos()).String()] = oneLine(group.Text())
		}
	})
	return all
}

func eachSource(t *testing.T, ending string, visit func(path string)) {
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root) {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ending) && d.Name() != "sources_test.go" {
			visit(path)
		}
		return nil
	})
	require.NoError(t, err)
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// What comments say of figures that have no published source, by the heading in the list.
var unsourced = map[string]*regexp.Regexp{
	"From memory":                regexp.MustCompile(`(?i)from memory`),
	"Common practice, no source": regexp.MustCompile(`(?i)common practice`),
	"Our own choice":             regexp.MustCompile(`(?i)our own choice|starting values? of our own|our own reading|no source gives`),
}

// The list names what has no published source: every declaration whose comment says so, and no other.
func TestUnsourcedAreListed(t *testing.T) {
	page := readPage(t, sourcesPage)
	for heading, says := range unsourced {
		said := map[string]bool{}
		eachSource(t, ".go", func(path string) {
			if strings.HasSuffix(path, "_test.go") {
				return
			}
			file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments)
			require.NoError(t, err)
			pkg, err := filepath.Rel(root, filepath.Dir(path))
			require.NoError(t, err)
			for _, group := range file.Comments {
				if says.MatchString(oneLine(group.Text())) {
					for _, name := range commented(file, group) {
						said["`"+filepath.ToSlash(pkg)+"`: `"+name+"`"] = true
					}
				}
			}
		})
		_, section, _ := strings.Cut(page, "\n### "+heading+"\n")
		section, _, _ = strings.Cut(section, "\n###")
		listed := map[string]bool{}
		for _, line := range strings.Split(section, "\n") {
			pkg, names, _ := strings.Cut(strings.TrimPrefix(line, "- "), ": ")
			for _, name := range inBackticks.FindAllString(names, -1) {
				listed[pkg+": "+name] = true
			}
		}
		require.Equalf(
			t, slices.Sorted(maps.Keys(said)), slices.Sorted(maps.Keys(listed)), "%s, %q: list what comments say", sourcesPage, heading,
		)
	}
}

// commented are the names of what a comment stands at or in: of a function, of one constant or variable or type, or of
// all of a group.
func commented(file *ast.File, group *ast.CommentGroup) []string {
	for _, decl := range file.Decls {
		if decl.End() < group.Pos() && !trails(decl, group) {
			continue
		}
		switch d := decl.(type) {
		case *ast.FuncDecl:
			return []string{receiver(d) + d.Name.Name}
		case *ast.GenDecl:
			var all []string
			for _, spec := range d.Specs {
				if group != d.Doc && (spec.End() < group.Pos() && !trails(spec, group)) {
					continue
				}
				all = append(all, namesOf(spec)...)
				if group != d.Doc {
					break
				}
			}
			return all
		}
	}
	return []string{"the package"}
}

// trails reports whether a comment stands behind node on the same line.
func trails(node ast.Node, group *ast.CommentGroup) bool {
	switch n := node.(type) {
	case *ast.GenDecl:
		return len(n.Specs) > 0 && trails(n.Specs[len(n.Specs)-1], group)
	case *ast.ValueSpec:
		return n.Comment == group
	case *ast.TypeSpec:
		return n.Comment == group
	}
	return false
}

func namesOf(spec ast.Spec) (all []string) {
	switch s := spec.(type) {
	case *ast.ValueSpec:
		for _, name := range s.Names {
			all = append(all, name.Name)
		}
	case *ast.TypeSpec:
		all = append(all, s.Name.Name)
	}
	return all
}

// startOf is the author of a key such as kubelka1948, and the whole of one such as rfc-4180.
func startOf(key string) string {
	if strings.Contains(key, "-") {
		return key
	}
	return strings.TrimRight(key, "0123456789")
}

// slug is text in small letters without accents, with one hyphen for whatever else stands in it.
func slug(text string) string {
	return strings.Trim(notWord.ReplaceAllString(unaccented.Replace(strings.ToLower(text)), "-"), "-")
}

var (
	notWord    = regexp.MustCompile(`[^\p{L}\p{N}]+`)
	unaccented = strings.NewReplacer("é", "e", "è", "e", "ü", "u", "ö", "o", "ä", "a", "ñ", "n", "ç", "c", "ø", "o", "å", "a")
)
