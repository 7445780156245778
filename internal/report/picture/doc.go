// Package picture draws results: a plan's differences against coats and a drift against time (SVG), and photos side by side,
// coat by coat, with their areas numbered, or with a grid of pixels (pictures).
//
// plan.go and drift.go write the SVG; photos.go lays photos out on a neutral grey; marked.go draws the grid.
package picture

import (
	"fmt"
	"strings"
)

// A drawing gathers SVG, a line to an element.
type drawing struct{ strings.Builder }

func (d *drawing) line(format string, args ...any) { fmt.Fprintf(d, format+"\n", args...) }
