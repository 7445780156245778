package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const small = `
fails = ["TestB/last"]
[[group]]
title = "Accuracy"
[[group.figure]]
what = "areas"
asked = "2.0"
reached = "{areas}; {areas, 10 %}"
remark = "Of {n} areas."
package = "./a"
test = "TestA"
[[group.figure]]
what = "covered"
reached = "{statements run/a}"
command = ".ci/coverage"
[[group]]
title = "Speed"
part = "speed"
[[group.figure]]
what = "one"
reached = "{BenchmarkOne/Some ms/op} ms"
package = "./a"
bench = "One"
flags = "-benchtime 2x"
`

const printed = `=== RUN   TestA
    a_test.go:3: FIGURE	areas	1.75
    a_test.go:4: FIGURE	areas, 10 %	98 %
    a_test.go:5: FIGURE	n	30
--- FAIL: TestB (0.1s)
    --- FAIL: TestB/last (0.1s)
FIGURE	statements run/a	96.5 %
BenchmarkOne/Some-2         	     100	  12345678 ns/op	         3.0 ×decoding
`

func TestTableIsWritten(t *testing.T) {
	l, err := readList([]byte(small))
	require.NoError(t, err)
	got, err := collect(printed)
	require.NoError(t, err)
	first, err := l.write(accuracy, got, "")
	require.NoError(t, err)
	require.Contains(t, first, "| areas | 2.0 | 1.75; 98 % [1] | `go test ./a -run TestA` |")
	require.Contains(t, first, "\n1. Of 30 areas.\n")
	require.Contains(t, first, "| covered | – | 96.5 % | `.ci/coverage` |")
	require.Contains(t, first, "## Speed\n\nNot measured yet.\n")
	got.printed = nil
	second, err := l.write(speed, got, first)
	require.NoError(t, err)
	require.Contains(t, second, "12.3 ms | `go test ./a -run xxx -bench 'One' -benchtime 2x` |")
	require.Equal(t, section(first, "Accuracy"), section(second, "Accuracy"), "kept as it stood")
	require.NoError(t, l.unexpected(got.failed), "known to fail, and so its parent")
	require.ErrorContains(t, l.unexpected([]string{"TestB/first"}), "TestB/first")
}

func TestWhatIsMissingIsAnError(t *testing.T) {
	l, err := readList([]byte(small))
	require.NoError(t, err)
	got, err := collect(strings.Replace(printed, "FIGURE\tn\t", "", 1))
	require.NoError(t, err)
	_, err = l.write(accuracy, got, "")
	require.ErrorContains(t, err, "no test printed: n")
	got, err = collect(printed + "    a_test.go:9: FIGURE\tmore\t1\n")
	require.NoError(t, err)
	_, err = l.write(accuracy, got, "")
	require.ErrorContains(t, err, `no use for "more"`)
	_, err = collect(printed + "    a_test.go:9: FIGURE\tareas\t2\n")
	require.ErrorContains(t, err, "printed twice")
	_, err = readList([]byte(strings.Replace(small, `test = "TestA"`, "", 1)))
	require.ErrorContains(t, err, "needs a package with a test")
}

func TestCommands(t *testing.T) {
	l, err := readList([]byte(small))
	require.NoError(t, err)
	require.Equal(t, [][]string{
		{"go", "test", "./a", "-count=1", "-timeout=2h", "-v", "-run", "^(TestA)$"}, {".ci/coverage"},
	}, l.commands(accuracy))
	require.Equal(t, [][]string{{"go", "test", "./a", "-timeout=2h", "-run", "xxx", "-bench", "One", "-benchtime", "2x"}}, l.commands(speed))
}

// Every test and benchmark of the list is there.
func TestListNamesWhatThereIs(t *testing.T) {
	l, err := readList(listed)
	require.NoError(t, err)
	for _, g := range l.Groups {
		for _, r := range g.Figures {
			require.False(t, g.Part == speed && r.Test != "", "%s: tests are not timed", r.What)
			if r.Command != "" {
				continue
			}
			files, err := filepath.Glob(filepath.Join("../../..", r.Package, "*_test.go"))
			require.NoError(t, err)
			source := ""
			for _, file := range files {
				data, err := os.ReadFile(file)
				require.NoError(t, err)
				source += string(data)
			}
			name := "(" + r.Test + `)\(`
			if r.Bench != "" {
				name = "Benchmark[A-Za-z0-9]*" + strings.Trim(strings.TrimPrefix(r.Bench, "^Benchmark"), "^$")
			}
			require.Regexp(t, regexp.MustCompile(`func `+name), source, "%s: %s", r.What, r.Package)
		}
	}
}
