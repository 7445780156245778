package workshop

import (
	"bufio"
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/piece"
)

// A ValuesError is a fault in a file of measured chart values.
type ValuesError struct {
	File    string
	Line    int // from 1; 0 when the fault is in no one line
	Problem string
	Advice  string
}

func (e *ValuesError) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Problem
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Problem)
}

// Hint says what to do about it.
func (e *ValuesError) Hint() string { return e.Advice }

const valuesAdvice = "first a line \"white,D50\" (or D65, A), then 24 lines of patch, L*, a*, b*: \"dark " +
	"brown,37.5,14.4,14.9\" or \"1,37.5,14.4,14.9\""

var valuesWhites = map[string]colour.XYZ{"D50": colour.WhiteD50, "D65": colour.WhiteD65, "A": colour.WhiteA}

// readChartValues reads the user's own measurements of a chart: a line that states the white
// of the figures, "white,D50", then a line for each patch with its name or its number from 1,
// and L*, a*, b* for the 2° observer. Empty lines and those beginning with # are skipped.
// Every fault is a *ValuesError.
func readChartValues(files Files, path string) (*[24]camera.ChartPatch, error) {
	data, err := readText(files, path)
	if err != nil {
		return nil, &ValuesError{File: path, Problem: FileFault(err), Advice: "name a file of text; " + valuesAdvice}
	}
	return parseChartValues(path, data)
}

func parseChartValues(path string, data []byte) (*[24]camera.ChartPatch, error) {
	patches := camera.Chart24(camera.Since2014) // for its names
	var adapt *colour.Matrix
	var white colour.XYZ
	seen := map[int]int{} // line of each patch
	lines := bufio.NewScanner(bytes.NewReader(data))
	for line := 1; lines.Scan(); line++ {
		fail := func(problem string, args ...any) error {
			return &ValuesError{path, line, fmt.Sprintf(problem, args...), valuesAdvice}
		}
		text := strings.TrimSpace(strings.TrimPrefix(lines.Text(), "\ufeff"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		fields := strings.Split(text, ",")
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		if adapt == nil {
			stated, known := valuesWhites[strings.ToUpper(fields[len(fields)-1])]
			if !known || len(fields) != 2 || !strings.EqualFold(fields[0], "white") {
				return nil, fail("does not state the white of its figures")
			}
			m := colour.Adaptation(stated, colour.WhiteD65)
			white, adapt = stated, &m
			continue
		}
		i, lab, err := parsePatch(&patches, fields)
		if err != nil {
			return nil, fail("%v", err)
		}
		if before, twice := seen[i]; twice {
			return nil, fail("%s stands on line %d already", patches[i].Name, before)
		}
		seen[i] = line
		patches[i].Lab = adapt.Apply(lab.XYZUnder(white)).Lab()
	}
	if err := lines.Err(); err != nil {
		return nil, &ValuesError{path, 0, "is not a list of values: " + err.Error(), valuesAdvice}
	}
	if adapt == nil {
		return nil, &ValuesError{path, 0, "is empty", valuesAdvice}
	}
	for i := range patches {
		if _, given := seen[i]; !given {
			return nil, &ValuesError{path, 0, fmt.Sprintf("has %d of 24 patches; %s is not among them", len(seen), patches[i].Name), valuesAdvice}
		}
	}
	return &patches, nil
}

func parsePatch(patches *[24]camera.ChartPatch, fields []string) (int, colour.Lab, error) {
	if len(fields) != 4 {
		return 0, colour.Lab{}, fmt.Errorf("%d fields, need 4: patch, L*, a*, b*", len(fields))
	}
	at := -1
	if number, err := strconv.Atoi(fields[0]); err == nil && number >= 1 && number <= len(patches) {
		at = number - 1
	}
	names := make([]string, len(patches))
	for i, p := range patches {
		names[i] = p.Name
		if strings.EqualFold(p.Name, fields[0]) {
			at = i
		}
	}
	if at < 0 {
		return 0, colour.Lab{}, fmt.Errorf("no patch is called %q; they are numbered 1 to 24 or called %s", fields[0], strings.Join(names, ", "))
	}
	var v []float64
	for _, field := range fields[1:] {
		figure, err := strconv.ParseFloat(field, 64)
		if err != nil {
			return 0, colour.Lab{}, fmt.Errorf("%q is not a number", field)
		}
		v = append(v, figure)
	}
	if err := piece.CheckLab(v); err != nil {
		return 0, colour.Lab{}, err
	}
	return at, colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}
