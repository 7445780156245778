package main

import (
	_ "embed"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed figures.toml
var listed []byte

// A list is what figures.toml holds.
type list struct {
	Fails  []string `toml:"fails"` // tests whose bound is known not to be reached, so that their failure is none of the run
	Groups []group  `toml:"group"`
}

// A group is one table under one heading.
type group struct {
	Title   string `toml:"title"`
	Note    string `toml:"note"` // stands above the table
	Part    string `toml:"part"` // that is measured by itself: accuracy, or one of the others
	Figures []row  `toml:"figure"`
}

// A row is one row of the table, and how its figures are measured: by one test, one benchmark or one command.
type row struct {
	What    string `toml:"what"`
	Asked   string `toml:"asked"`   // as printed; empty where nothing is asked
	Reached string `toml:"reached"` // with {key} for each printed figure; {BenchmarkName unit} for a benchmark's
	Remark  string `toml:"remark"`  // stands below the table; may use printed figures too

	Package string `toml:"package"`
	Test    string `toml:"test"`
	Bench   string `toml:"bench"` // a regular expression, as for go test -bench
	Flags   string `toml:"flags"` // more flags for go test
	Command string `toml:"command"`
}

// The parts of the file. Each is measured by itself.
const (
	accuracy = ""
	speed    = "speed"
	others   = "others" // other programs at the same work
)

func readList(data []byte) (*list, error) {
	l := &list{}
	if err := toml.Unmarshal(data, l); err != nil {
		return nil, fmt.Errorf("figures.toml: %w", err)
	}
	for _, g := range l.Groups {
		if g.Part != accuracy && g.Part != speed && g.Part != others {
			return nil, fmt.Errorf("figures.toml: there is no part %q", g.Part)
		}
		for _, r := range g.Figures {
			ways := 0
			for _, way := range []string{r.Test, r.Bench, r.Command} {
				if way != "" {
					ways++
				}
			}
			switch {
			case r.What == "" || len(r.keys()) == 0:
				return nil, fmt.Errorf("figures.toml: %q says nothing, or uses no printed figure", r.What)
			case ways != 1, (r.Command == "") != (r.Package != ""):
				return nil, fmt.Errorf("figures.toml: %q needs a package with a test or a benchmark, or a command", r.What)
			}
		}
	}
	return l, nil
}

var placeholder = regexp.MustCompile(`\{([^{}]+)\}`)

// keys are the printed figures that a row uses.
func (r *row) keys() (keys []string) {
	for _, m := range placeholder.FindAllStringSubmatch(r.Reached+r.Remark, -1) {
		keys = append(keys, m[1])
	}
	return keys
}

// by is the command that prints the row's figures, without what only makes it print them.
func (r *row) by() string {
	words := []string{"go test", r.Package}
	switch {
	case r.Command != "":
		return r.Command
	case r.Bench != "":
		words = append(words, "-run xxx -bench", "'"+r.Bench+"'")
	default:
		words = append(words, "-run", r.Test)
	}
	if r.Flags != "" {
		words = append(words, r.Flags)
	}
	return strings.Join(words, " ")
}

// unexpected is an error that names the tests that failed and were not known to.
func (l *list) unexpected(failed []string) error {
	var names []string
	for _, name := range failed {
		known := slices.ContainsFunc(l.Fails, func(f string) bool { return name == f || strings.HasPrefix(f, name+"/") })
		if !known {
			names = append(names, name)
		}
	}
	if names != nil {
		return fmt.Errorf("the table is written, and these tests failed: %s", strings.Join(names, ", "))
	}
	return nil
}
