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
	// Small rooms that know nothing of wood.
	"internal/lm":          {},
	"internal/stat":        {},
	"internal/parallel":    {},
	"internal/atomicfile":  {},
	"internal/fault":       {},
	"internal/words":       {},
	"internal/spelling":    {},
	"internal/figure":      {},
	"internal/fixture":     {},
	"internal/contexttest": {},
	"internal/rawfile":     {},

	"colour":         {"internal/stat", "internal/parallel"},
	"colour/spectra": {"colour", "internal/stat"},
	"colour/sensor":  {"colour"},
	"colour/camera":  {"colour", "colour/sensor", "internal/lm", "internal/parallel", "internal/stat"},

	"imageio/internal/bigendian":    {},
	"imageio/internal/icc":          {"colour", "imageio/internal/bigendian"},
	"imageio/internal/sandbox":      {},
	"imageio/internal/jpeg":         {"imageio/internal/bigendian"},
	"imageio/internal/losslessjpeg": {"imageio/internal/bigendian"},
	"imageio/internal/tiffdir":      {"imageio/internal/bigendian"},
	"imageio/internal/dng": {
		"colour", "colour/sensor", "imageio/internal/bigendian", "imageio/internal/losslessjpeg", "imageio/internal/tiffdir",
		"internal/parallel",
	},
	"imageio/internal/container": {
		"colour/sensor", "imageio/internal/bigendian", "imageio/internal/dng", "imageio/internal/icc", "imageio/internal/jpeg",
		"imageio/internal/sandbox", "imageio/internal/tiffdir", "internal/parallel",
	},
	"imageio": {"colour", "colour/sensor", "imageio/internal/container", "imageio/internal/dng", "imageio/internal/icc",
		"imageio/internal/jpeg",
		"internal/atomicfile", "internal/parallel", "internal/stat"},
	"imageio/internal/blob":  {"imageio", "internal/parallel"},
	"imageio/internal/plane": {"imageio", "internal/stat"},
	"imageio/sample": {"colour", "colour/camera", "colour/sensor", "imageio", "imageio/internal/plane", "internal/parallel",
		"internal/stat"},
	"imageio/internal/lattice": {"imageio", "imageio/internal/blob", "imageio/internal/plane"},
	"imageio/chart": {
		"colour", "colour/camera", "colour/sensor", "imageio", "imageio/internal/blob", "imageio/internal/lattice", "imageio/internal/plane",
		"imageio/sample", "internal/parallel", "internal/stat",
	},
	"imageio/evenlight": {
		"colour", "colour/camera", "imageio", "imageio/internal/blob", "imageio/internal/plane",
		"imageio/sample", "internal/parallel", "internal/stat",
	},
	"imageio/slip": {
		"colour", "colour/camera", "imageio", "imageio/internal/plane", "imageio/sample", "internal/fault", "internal/parallel", "internal/stat",
	},
	"imageio/carry": {
		"imageio", "imageio/internal/plane", "imageio/slip", "internal/fault", "internal/lm", "internal/parallel", "internal/stat",
	},
	"imageio/region":   {"imageio", "internal/parallel", "internal/stat"},
	"imageio/surround": {"colour", "colour/camera", "imageio", "imageio/sample", "internal/parallel"},
	"imageio/render":   {"colour", "imageio", "imageio/internal/icc", "imageio/sample", "internal/parallel"},

	"blend":          {"colour", "colour/spectra"},
	"blend/learn":    {"blend", "colour", "colour/spectra", "internal/lm", "internal/parallel", "internal/stat"},
	"blend/plan":     {"blend", "blend/learn", "colour", "colour/spectra", "internal/parallel", "internal/stat"},
	"blend/repair":   {"blend", "colour", "colour/spectra", "internal/stat"},
	"blend/schedule": {"blend"},

	"internal/terminal": {"colour"},
	"internal/bench": {
		"blend", "colour", "colour/camera", "colour/sensor", "colour/spectra", "imageio", "imageio/slip", "internal/parallel", "internal/rawfile",
	},
	"internal/bench/figures": {"internal/figure"},
	"internal/rival":         {"blend", "blend/learn", "colour"},
	"internal/logbook":       {"blend", "blend/learn", "colour", "internal/atomicfile", "internal/spelling"},
	"internal/piece": {
		"blend", "blend/schedule", "colour", "colour/camera", "imageio", "imageio/evenlight", "imageio/region", "internal/spelling",
	},
	"internal/workshop": {
		"blend", "blend/learn", "blend/plan", "blend/repair", "blend/schedule", "colour", "colour/camera", "colour/sensor", "colour/spectra",
		"imageio", "imageio/carry", "imageio/chart", "imageio/evenlight", "imageio/region", "imageio/render", "imageio/sample", "imageio/slip",
		"imageio/surround", "internal/logbook", "internal/parallel", "internal/piece",
	},
	"internal/demo": {"imageio", "internal/bench", "internal/piece", "internal/workshop"},
	"internal/record": {
		"blend", "blend/learn", "blend/plan", "colour", "imageio", "imageio/render", "imageio/slip", "internal/logbook", "internal/piece",
		"internal/workshop",
	},
	"internal/report/slipsheet":  {"imageio/slip", "internal/report/card"},
	"internal/report/card":       {"internal/words", "colour"},
	"internal/report/clientpage": {"colour"},
	"internal/report/picture": {
		"internal/words", "blend/plan", "colour", "imageio", "internal/logbook", "internal/piece", "internal/record", "internal/workshop",
	},
	"internal/report": {
		"internal/words",
		"blend/plan", "blend/repair", "blend/schedule", "colour", "internal/logbook", "internal/piece", "internal/record", "internal/report/card",
		"internal/report/clientpage", "internal/report/picture", "internal/terminal", "internal/workshop",
	},
	"internal/web": {
		"blend", "blend/plan", "colour", "imageio", "internal/atomicfile", "internal/demo", "internal/fault", "internal/logbook",
		"internal/piece",
		"internal/record", "internal/report",
		"internal/report/card", "internal/report/clientpage", "internal/report/picture", "internal/words", "internal/workshop",
	},
	"cmd/huewright/internal/shell": {
		"colour", "internal/words", "internal/atomicfile", "internal/logbook", "internal/piece", "internal/report", "internal/spelling",
		"internal/terminal", "internal/workshop",
	},
	"cmd/huewright/internal/help":     {},
	"cmd/huewright/internal/complete": {"blend", "internal/logbook", "internal/piece", "internal/report", "internal/report/card"},
	"cmd/huewright/internal/lan":      {"internal/atomicfile"},
	"cmd/huewright/internal/logcmd": {
		"internal/words",
		"blend", "cmd/huewright/internal/shell", "colour", "internal/logbook", "internal/record", "internal/report", "internal/report/picture",
	},
	"cmd/huewright": {
		"internal/words",
		"cmd/huewright/internal/complete", "cmd/huewright/internal/help", "cmd/huewright/internal/lan", "cmd/huewright/internal/logcmd",
		"cmd/huewright/internal/shell", "colour", "imageio", "imageio/chart", "imageio/region", "imageio/slip",
		"internal/atomicfile", "internal/bench", "internal/demo", "internal/logbook", "internal/piece", "internal/record", "internal/report",
		"internal/report/card", "internal/report/clientpage", "internal/report/picture", "internal/report/slipsheet",
		"internal/terminal", "internal/web", "internal/workshop",
	},
	"internal/phone":      {},
	"cmd/huewright-phone": {"internal/logbook", "internal/web", "internal/words"},

	// What only tests import.
	"blend/internal/blendtest":   {"blend", "colour", "colour/spectra", "internal/bench", "internal/fixture", "internal/words"},
	"colour/internal/colourtest": {"colour", "internal/fixture"},
	"imageio/internal/imagetest": {"colour", "internal/fixture"},
}

// testArrows says what tests may import besides: what the results are made of that they make by hand.
var testArrows = map[string][]string{
	"internal/report": {"imageio"},
	"internal/web":    {"internal/phone"},
	"internal/bench":  {"internal/stat"},
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
			if strings.HasSuffix(path, "_test.go") && testMayImport(pkg, imported) {
				continue
			}
			if imported == "internal/fault" {
				continue // faults and warnings are the same data everywhere
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

// testMayImport reports what tests may import besides: drawn photographs, figures to print, files to read, the
// package itself from outside; in a hall, the rooms of that hall and of colour; above the halls, all their rooms.
func testMayImport(pkg, imported string) bool {
	hall, _, _ := strings.Cut(pkg, "/")
	from, _, _ := strings.Cut(imported, "/")
	if from != "internal" && (from == hall || from == "colour" || hall == "internal") {
		return true
	}
	besides := append([]string{
		"internal/bench", "internal/figure", "internal/fixture", "internal/rawfile", "internal/rival", "internal/contexttest",
		"internal/words", pkg,
	}, testArrows[pkg]...)
	return slices.Contains(besides, imported)
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
