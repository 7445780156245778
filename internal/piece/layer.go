package piece

import (
	"math"
	"slices"
)

// A Layer is one layer of the finish: a coating on all areas, or on some.
type Layer struct {
	Coating string   `toml:"coating" json:"coating"`
	Areas   []string `toml:"areas" json:"areas,omitempty"` // names; empty for all
	Coats   any      `toml:"coats" json:"coats,omitempty"` // a whole number on each area, or "plan"; nil means "plan"
}

// planned is what a layer's coats say where the program is to find their number.
const planned = "plan"

// Count returns the coats of a layer; known is false where they are to be found.
func (l *Layer) Count() (coats int, known bool) {
	switch n := l.Coats.(type) {
	case int64:
		return int(n), true
	case float64: // out of JSON
		return int(n), true
	case int:
		return n, true
	}
	return 0, false
}

func (c *checker) layer(path string, l *Layer) {
	if !slices.ContainsFunc(c.piece.Coatings, func(k Coating) bool { return k.Name == l.Coating }) {
		c.fault(path+".coating", "piece.layer-coating", "name", l.Coating)
	}
	for _, name := range l.Areas {
		if !slices.ContainsFunc(c.piece.Areas, func(a Area) bool { return a.Name == name }) {
			c.fault(path+".areas", "piece.layer-area", "name", name)
		}
	}
	n, counted := l.Count()
	if f, isFloat := l.Coats.(float64); isFloat && f != math.Trunc(f) {
		counted, n = true, -1
	}
	if word, isText := l.Coats.(string); counted && (n < 0 || n > mostLayerCoats) || !counted && l.Coats != nil && !(isText && word == planned) {
		c.fault(path+".coats", "piece.layer-coats", "high", mostLayerCoats)
	}
}

const mostLayerCoats = 50 // of one layer on one area: beyond any bench
