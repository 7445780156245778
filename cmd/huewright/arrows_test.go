package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const root = "../.."

// arrows says which of our packages each of our packages may import. A package that is not
// here was not planned: place it on purpose, and draw its arrow in DEVELOPERS.md too.
var arrows = map[string][]string{
	"internal/lm":            {},
	"internal/stat":          {},
	"internal/parallel":      {},
	"internal/atomicfile":    {},
	"colour":                 {"internal/lm", "internal/stat", "internal/parallel"},
	"imageio":                {"colour", "internal/stat", "internal/parallel", "internal/atomicfile"},
	"blend":                  {"colour", "internal/lm", "internal/stat", "internal/parallel"},
	"internal/fixture":       {},
	"internal/figure":        {},
	"internal/bench/figures": {"internal/figure"},
	"internal/bench":         {"colour", "imageio", "blend", "internal/parallel"},
	"internal/logbook":       {"colour", "blend", "internal/atomicfile"},
	"internal/piece":         {"colour", "imageio", "blend"},
	"internal/workshop":      {"colour", "imageio", "blend", "internal/logbook", "internal/parallel", "internal/piece"},
	"internal/report":        {"colour", "blend", "internal/workshop"},
	"internal/web":           {"internal/workshop", "internal/report", "internal/logbook", "internal/atomicfile"},
	"cmd/huewright": {
		"colour", "imageio", "blend", "internal/atomicfile", "internal/bench", "internal/logbook", "internal/workshop", "internal/report", "internal/web",
	},
}

// testArrows says what tests may import besides: what the results are made of that they make by hand.
var testArrows = map[string][]string{
	"internal/report": {"imageio", "internal/logbook"},
}

// topLevel is all that may stand in the root, besides dot-files.
var topLevel = []string{
	"cmd", "colour", "imageio", "blend", "internal", "testdata",
	"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "go.mod", "go.sum",
}

func TestTopLevelHoldsWhatWasPlanned(t *testing.T) {
	entries, err := os.ReadDir(root)
	require.NoError(t, err)
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			require.Contains(t, topLevel, e.Name())
		}
	}
}

// Note: reads the sources itself. "go list" would be shorter, but the test cache does not
// see what it read and would keep an old answer.
func TestArrows(t *testing.T) {
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && path != root) {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := filepath.ToSlash(rel)
		allowed, planned := arrows[pkg]
		require.Truef(t, planned, "package %s (%s) is not in the table of arrows", pkg, path)
		seen[pkg] = true
		for _, imported := range ownImports(t, path) {
			// Tests may use drawn photographs and print figures whatever they test, and a package's
			// outside tests import the package itself.
			besides := append([]string{"internal/bench", "internal/figure", "internal/fixture", pkg}, testArrows[pkg]...)
			if strings.HasSuffix(path, "_test.go") && slices.Contains(besides, imported) {
				continue
			}
			require.Truef(t, slices.Contains(allowed, imported), "%s: %s may not import %s", path, pkg, imported)
		}
		return nil
	})
	require.NoError(t, err)
	for pkg := range arrows {
		require.Truef(t, seen[pkg], "package %s stands in the table but has no source", pkg)
	}
}

func ownImports(t *testing.T, path string) []string {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
	require.NoError(t, err)
	var own []string
	for _, spec := range file.Imports {
		name, err := strconv.Unquote(spec.Path.Value)
		require.NoError(t, err)
		if after, ok := strings.CutPrefix(name, "huewright/"); ok {
			own = append(own, after)
		}
	}
	return own
}
