package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"

	"huewright/internal/figure"
)

// commands are the commands that measure the groups, each once: the tests of a package together, then each
// benchmark, then what is no go test.
func (l *list) commands(part string) (all [][]string) {
	tests := map[string][]string{}
	var packages []string
	for _, g := range l.Groups {
		if g.Part != part {
			continue
		}
		for _, r := range g.Figures {
			if r.Test == "" || slices.Contains(tests[r.Package], r.Test) {
				continue
			}
			if tests[r.Package] == nil {
				packages = append(packages, r.Package)
			}
			tests[r.Package] = append(tests[r.Package], r.Test)
		}
	}
	for _, p := range packages {
		all = append(all, []string{"go", "test", p, "-count=1", "-timeout=2h", "-v", "-run", "^(" + strings.Join(tests[p], "|") + ")$"})
	}
	for _, g := range l.Groups {
		for _, r := range g.Figures {
			var words []string
			switch {
			case g.Part != part || r.Test != "":
				continue
			case r.Bench != "":
				words = append([]string{"go", "test", r.Package, "-timeout=2h", "-run", "xxx", "-bench", r.Bench}, strings.Fields(r.Flags)...)
			default:
				words = strings.Fields(r.Command)
			}
			if !slices.ContainsFunc(all, func(c []string) bool { return slices.Equal(c, words) }) {
				all = append(all, words)
			}
		}
	}
	return all
}

// measure runs them and writes what they print. A test that fails is named later, when its figures are known.
func (l *list) measure(part string, out io.Writer) error {
	for _, words := range l.commands(part) {
		fmt.Fprintln(out, "==", strings.Join(words, " "))
		cmd := exec.Command(words[0], words[1:]...)
		cmd.Env = append(os.Environ(), "CGO_ENABLED=0")
		if words[0] == "go" && slices.Contains(words, "-v") {
			cmd.Env = append(cmd.Env, figure.Variable+"=1")
		}
		cmd.Stdout, cmd.Stderr = out, out
		if err := cmd.Run(); err != nil && cmd.ProcessState == nil {
			return err
		}
	}
	return nil
}
