package workshop

import (
	"bufio"
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

var valuesWhites = map[string]colour.XYZ{"D50": colour.WhiteD50, "D65": colour.WhiteD65, "A": colour.WhiteA}

// readChartValues reads the user's own measurements of a chart: a line that states the white
// of the figures, "white,D50", then a line for each patch with its name or its number from 1,
// and L*, a*, b* for the 2° observer. Empty lines and those beginning with # are skipped.
func readChartValues(files Files, path string) (*[24]camera.ChartPatch, error) {
	data, err := readText(files, path)
	if err != nil {
		return nil, FileFault(path, err)
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
		at := fault.Place{File: path, Line: line, Column: 1}
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
				return nil, fault.In(fault.New(fault.Use, "values.no-white"), at)
			}
			m := colour.Adaptation(stated, colour.WhiteD65)
			white, adapt = stated, &m
			continue
		}
		i, lab, err := parsePatch(&patches, fields)
		if err != nil {
			return nil, fault.In(err, at)
		}
		if before, twice := seen[i]; twice {
			return nil, fault.In(fault.New(fault.Use, "values.twice", "patch", patches[i].Name, "line", before), at)
		}
		seen[i] = line
		patches[i].Lab = adapt.Apply(lab.XYZUnder(white)).Lab()
	}
	if err := lines.Err(); err != nil {
		return nil, fault.In(fault.New(fault.Use, "values.no-list").Because(err), fault.Place{File: path})
	}
	if adapt == nil {
		return nil, fault.In(fault.New(fault.Use, "values.empty"), fault.Place{File: path})
	}
	for i := range patches {
		if _, given := seen[i]; !given {
			return nil, fault.In(fault.New(fault.Use, "values.patch-missing", "have", len(seen), "need", len(patches), "patch", patches[i].Name),
				fault.Place{File: path})
		}
	}
	nameByNumber(&patches)
	return &patches, nil
}

// anotherCard is from what mean ΔE00 from the published colours values are of another card than the 24-patch chart, whose patches the
// chart's names would be wrong for. Two editions are 1 apart, faded charts 5. Our own choice.
const anotherCard = 10.0

// nameByNumber names the patches of another card by their numbers.
func nameByNumber(patches *[24]camera.ChartPatch) {
	off := 0.0
	for i, p := range camera.Chart24(camera.Since2014) {
		off += colour.DeltaE2000(p.Lab, patches[i].Lab) / float64(len(patches))
	}
	for i := range patches {
		if off > anotherCard {
			patches[i].Name = fmt.Sprintf("no. %d", i+1)
		}
	}
}

func parsePatch(patches *[24]camera.ChartPatch, fields []string) (int, colour.Lab, error) {
	if len(fields) != 4 {
		return 0, colour.Lab{}, fault.New(fault.Use, "values.fields", "n", len(fields))
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
		return 0, colour.Lab{}, fault.New(fault.Use, "values.no-patch", "name", fields[0], "names", names)
	}
	var v []float64
	for _, field := range fields[1:] {
		figure, err := strconv.ParseFloat(field, 64)
		if err != nil {
			return 0, colour.Lab{}, fault.New(fault.Use, "values.not-a-number", "text", field)
		}
		v = append(v, figure)
	}
	if err := piece.CheckLab(v); err != nil {
		return 0, colour.Lab{}, err
	}
	return at, colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}
