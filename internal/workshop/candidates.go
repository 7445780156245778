package workshop

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// mostCandidates is how many coatings that might be bought are ranked: each is worked out for the whole piece.
const mostCandidates = 300

// readCandidates reads a list of coatings that might be bought, a line for each: its name, its colour where nothing shows
// through, as a hex code or as L*, a*, b* for D65 and the 2° observer, and how far one coat of it hides, 0–1, where that is
// known. A heading, empty lines and those beginning with # are skipped.
func readCandidates(files Files, path string) ([]plan.Candidate, error) {
	data, err := readText(files, path)
	if err != nil {
		return nil, FileFault(path, err)
	}
	return parseCandidates(path, data, limitsOf(files))
}

func parseCandidates(path string, data []byte, limits piece.Limits) (all []plan.Candidate, err error) {
	lines := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	lines.FieldsPerRecord, lines.Comment, lines.TrimLeadingSpace = -1, '#', true
	seen := map[string]int{} // line of each name
	for first := true; ; first = false {
		fields, err := lines.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		bad := (*csv.ParseError)(nil)
		if errors.As(err, &bad) {
			return nil, fault.In(fault.New(fault.Use, "swatch.quotes").Because(err), fault.Place{File: path, Line: bad.StartLine, Column: 1})
		}
		if err != nil {
			return nil, FileFault(path, err)
		}
		for i := range fields {
			fields[i] = strings.TrimSpace(fields[i])
		}
		if first && isHeading(fields) || strings.Join(fields, "") == "" {
			continue
		}
		line, _ := lines.FieldPos(0)
		at := fault.Place{File: path, Line: line, Column: 1}
		c, fail := parseCandidate(fields, limits)
		if fail != nil {
			return nil, fault.In(fail, at)
		}
		if before, twice := seen[c.Name]; twice {
			return nil, fault.In(fault.New(fault.Use, "swatch.twice", "name", c.Name, "line", before), at)
		}
		seen[c.Name] = line
		if all = append(all, c); len(all) > mostCandidates {
			return nil, fault.In(fault.New(fault.Use, "swatch.too-many", "most", mostCandidates), at)
		}
	}
	if len(all) == 0 {
		return nil, fault.In(fault.New(fault.Use, "swatch.empty"), fault.Place{File: path})
	}
	return all, nil
}

// isHeading reports whether a first line names its columns.
func isHeading(fields []string) bool {
	if len(fields) < 2 {
		return false
	}
	switch strings.ToLower(fields[1]) {
	case "colour", "color", "hex", "l", "l*":
		return true
	}
	return false
}

// parseCandidate reads the fields of one line.
func parseCandidate(fields []string, limits piece.Limits) (c plan.Candidate, err error) {
	c.Name = fields[0]
	for len(fields) > 2 && fields[len(fields)-1] == "" { // columns that are left empty
		fields = fields[:len(fields)-1]
	}
	n := len(fields)
	switch {
	case c.Name == "":
		return c, fault.New(fault.Use, "swatch.no-name")
	case utf8.RuneCountInString(c.Name) > limits.OrDefault().Letters:
		return c, fault.New(fault.Use, "swatch.long-name", "most", limits.OrDefault().Letters)
	case n == 1 || n > 5:
		return c, fault.New(fault.Use, "swatch.fields", "n", n)
	}
	hiding := ""
	if n <= 3 {
		code, err := colour.ParseHex(fields[1])
		if err != nil {
			return c, err
		}
		c.Chip = code.Linear().Lab()
		hiding = strings.Join(fields[2:], "")
	} else {
		var lab []float64
		for _, field := range fields[1:4] {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				return c, fault.New(fault.Use, "swatch.not-a-number", "text", field)
			}
			lab = append(lab, v)
		}
		if err := piece.CheckLab(lab); err != nil {
			return c, err
		}
		c.Chip = colour.Lab{L: lab[0], A: lab[1], B: lab[2]}
		hiding = strings.Join(fields[4:], "")
	}
	if hiding != "" {
		c.Hiding, err = strconv.ParseFloat(hiding, 64)
		if err != nil || !(c.Hiding > 0 && c.Hiding <= 1) {
			return c, fault.New(fault.Use, "swatch.hiding", "text", hiding)
		}
	}
	return c, nil
}
