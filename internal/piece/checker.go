package piece

import (
	"fmt"
	"slices"
	"strings"

	"huewright/imageio"
)

// checker finds the first thing in a piece that makes no sense, and where it stands.
type checker struct {
	piece  *Piece
	file   string
	limits Limits
	places map[string]place
	err    *Error
}

// place is a position in a file, from 1.
type place struct{ line, column int }

// fault keeps the first fault found, at the key path or the nearest heading above it.
func (c *checker) fault(path, problem, advice string) {
	if c.err != nil {
		return
	}
	c.err = &Error{File: c.file, Problem: problem, Advice: advice}
	for at := path; at != ""; at = parent(at) {
		if p, ok := c.places[at]; ok {
			c.err.Line, c.err.Column = p.line, p.column
			return
		}
	}
}

func parent(path string) string { return path[:max(0, strings.LastIndexAny(path, ".["))] }

func (c *checker) within(path string, v, low, high float64, advice string) {
	// NaN fails both comparisons, which is why they are written this way round.
	if !(v >= low && v <= high) {
		c.fault(path, fmt.Sprintf("%s is %v, not between %v and %v", lastKey(path), v, low, high), advice)
	}
}

func lastKey(path string) string { return path[strings.LastIndex(path, ".")+1:] }

func (c *checker) oneOf(path, v string, allowed []string) {
	if v != "" && !slices.Contains(allowed, v) {
		c.fault(path, fmt.Sprintf("%s is %q", lastKey(path), v), "it is one of: "+strings.Join(allowed, ", "))
	}
}

func (c *checker) outline(path, outline string) {
	if outline == "" {
		c.fault(path, "no outline", "add: outline = \"x,y,w,h\" or \"x,y x,y x,y …\", in pixels of the photo")
		return
	}
	if _, err := imageio.ParseOutline(outline); err != nil {
		c.fault(path, err.Error(), HintOf(err))
	}
}
