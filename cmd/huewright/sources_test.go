package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
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
	page, err := os.ReadFile(filepath.Join(root, sourcesPage))
	require.NoError(t, err)
	cited := map[string]bool{} // by key
	for _, entry := range listed.FindAllStringSubmatch(string(page), -1) {
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
			require.Containsf(t, string(page), "doi:"+m[1], "%s cites a doi that %s does not list", where, sourcesPage)
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
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root) {
			return filepath.SkipDir
		}
		if strings.HasSuffix(path, ".sql") {
			schema, err := os.ReadFile(path)
			require.NoError(t, err)
			all[path] = strings.Join(strings.Fields(string(schema)), " ")
		}
		if !strings.HasSuffix(path, ".go") || d.Name() == "sources_test.go" {
			return nil
		}
		files := token.NewFileSet()
		file, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		require.NoError(t, err)
		for _, group := range file.Comments {
			all[files.Position(group.Pos()).String()] = strings.Join(strings.Fields(group.Text()), " ")
		}
		return nil
	})
	require.NoError(t, err)
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
