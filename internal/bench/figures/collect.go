package main

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"huewright/internal/figure"
)

// A collection is what the output of tests holds.
type collection struct {
	figures map[string]string // by key
	printed []string          // keys printed by tests, in their order
	failed  []string          // tests
}

var (
	benchmarkLine = regexp.MustCompile(`^(Benchmark\S+?)(?:-\d+)?\s+\d+\s+(.*)$`)
	failedLine    = regexp.MustCompile(`^\s*--- FAIL: (\S+)`)
)

// collect reads the output of go test: the lines of the package figure, benchmark results (each value under
// "name unit"; ns/op as ms/op too), and which tests failed.
func collect(output string) (*collection, error) {
	c := &collection{figures: map[string]string{}}
	for line := range strings.Lines(output) {
		line = strings.TrimSuffix(line, "\n")
		if _, after, ok := strings.Cut(line, figure.Mark); ok {
			key, value, ok := strings.Cut(after, "\t")
			if !ok || value == "" {
				return nil, fmt.Errorf("a figure without a value: %q", line)
			}
			if old, twice := c.figures[key]; twice {
				return nil, fmt.Errorf("%q is printed twice: %s and %s", key, old, value)
			}
			c.figures[key] = value
			c.printed = append(c.printed, key)
		}
		if m := benchmarkLine.FindStringSubmatch(line); m != nil {
			if err := c.addBenchmark(m[1], strings.Fields(m[2])); err != nil {
				return nil, err
			}
		}
		if m := failedLine.FindStringSubmatch(line); m != nil {
			c.failed = append(c.failed, m[1])
		}
	}
	return c, nil
}

// addBenchmark takes in the pairs of a value and a unit that follow the name and the number of runs.
func (c *collection) addBenchmark(name string, fields []string) error {
	for i := 0; i+1 < len(fields); i += 2 {
		value, err := strconv.ParseFloat(fields[i], 64)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		c.figures[name+" "+fields[i+1]] = threeDigits(value)
		if fields[i+1] == "ns/op" {
			c.figures[name+" ms/op"] = threeDigits(value / 1e6)
		}
	}
	return nil
}

// threeDigits rounds to three digits, and to whole numbers above 1000.
func threeDigits(v float64) string {
	if v >= 1000 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}
