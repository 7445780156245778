package piece

import (
	"slices"
	"strconv"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
)

// checker finds the first thing in a piece that makes no sense, and where it stands.
type checker struct {
	piece  *Piece
	file   string
	limits Limits
	places map[string]place
	err    *fault.Fault
}

// place is a position in a file, from 1.
type place struct{ line, column int }

// fault keeps the first fault found, at the key path or the nearest heading above it.
func (c *checker) fault(path string, code fault.Code, values ...any) {
	c.keep(path, fault.New(fault.Use, code, values...))
}

func (c *checker) keep(path string, f *fault.Fault) {
	if c.err != nil {
		return
	}
	at := fault.Place{File: c.file, Area: c.named(path)}
	for above := path; above != ""; above = parent(above) {
		if p, ok := c.places[above]; ok {
			at.Line, at.Column = p.line, p.column
			break
		}
	}
	kept := *f
	kept.Place = at
	c.err = &kept
}

// named is the name of the photo, area, coating, tie point or repair that a key path leads into; "" for none.
func (c *checker) named(path string) string {
	heading, rest, _ := strings.Cut(path, "[")
	index, _, _ := strings.Cut(rest, "]")
	i, err := strconv.Atoi(index)
	if err != nil {
		return ""
	}
	p := c.piece
	switch heading {
	case "photo":
		return p.Photos[i].Name
	case "area":
		return p.Areas[i].Name
	case "coating":
		return p.Coatings[i].Name
	case "tie":
		return p.Ties[i].Name
	case "repair":
		return p.Repairs[i].Name
	}
	return ""
}

func parent(path string) string { return path[:max(0, strings.LastIndexAny(path, ".["))] }

// within checks a number; the fault of the code tells value, low and high.
func (c *checker) within(path string, code fault.Code, v, low, high float64) {
	// NaN fails both comparisons, which is why they are written this way round.
	if !(v >= low && v <= high) {
		c.fault(path, code, "value", v, "low", low, "high", high)
	}
}

func lastKey(path string) string { return path[strings.LastIndex(path, ".")+1:] }

func (c *checker) oneOf(path, v string, allowed []string) {
	if v != "" && !slices.Contains(allowed, v) {
		c.fault(path, "piece.choice", "key", lastKey(path), "value", v, "allowed", allowed)
	}
}

func (c *checker) outline(path, outline string) {
	if outline == "" {
		c.fault(path, "piece.no-outline")
		return
	}
	if _, err := imageio.ParseOutline(outline); err != nil {
		c.keep(path, fault.Of(err))
	}
}

// A keyFault is a fault in the value of one key of a table.
type keyFault struct {
	key string
	*fault.Fault
}

func (k *keyFault) Unwrap() error { return k.Fault }

// atKey is a fault in the value of a key, with the names and values that it tells.
func atKey(key string, code fault.Code, values ...any) error {
	return &keyFault{key, fault.New(fault.Use, code, values...)}
}
