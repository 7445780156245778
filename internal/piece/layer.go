package piece

import (
	"fmt"
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

const (
	mostLayerCoats    = 50 // of one layer on one area: beyond any bench
	mostLayers        = 6  // dye, stain, glaze, toner and two more; each multiplies the time of a plan
	mostPlannedLayers = 3  // of them, those whose number of coats is to be found: as many as are looked for where no layers are given
)

// Count returns the coats of a layer; known is false where they are to be found.
func (l *Layer) Count() (coats int, known bool) {
	n, known := l.number()
	return int(n), known
}

// number is the number that stands for the coats, whatever it is; given is false where none does.
func (l *Layer) number() (n float64, given bool) {
	switch n := l.Coats.(type) {
	case int64: // out of TOML
		return float64(n), true
	case float64: // out of TOML or JSON
		return n, true
	case int:
		return float64(n), true
	}
	return 0, false
}

// coatsCanBe reports whether a layer's coats are to be found, or a whole number that can be laid.
func (l *Layer) coatsCanBe() bool {
	if n, given := l.number(); given {
		return n == math.Trunc(n) && n >= 0 && n <= mostLayerCoats
	}
	return l.Coats == nil || l.Coats == planned
}

func (c *checker) layers(all []Layer) {
	toFind := 0
	for i := range all {
		path := fmt.Sprintf("layer[%d]", i)
		c.layer(path, &all[i])
		if _, known := all[i].Count(); !known {
			toFind++
		}
		if i >= mostLayers || toFind > mostPlannedLayers {
			c.fault(path, "piece.many-layers", "most", mostLayers, "to-find", mostPlannedLayers)
		}
	}
}

func (c *checker) layer(path string, l *Layer) {
	coatings := namesOf(c.piece.Coatings, func(k *Coating) string { return k.Name })
	switch {
	case l.Coating == "":
		c.fault(path, "piece.layer-coating", "names", coatings, "n", len(coatings))
	case !slices.Contains(coatings, l.Coating):
		c.keep(path+".coating", Unknown("piece.no-coating", l.Coating, coatings))
	}
	areas := namesOf(c.piece.Areas, func(a *Area) string { return a.Name })
	for i, name := range l.Areas {
		at := fmt.Sprintf("%s.areas[%d]", path, i)
		switch {
		case !slices.Contains(areas, name):
			c.keep(at, Unknown("piece.no-area", name, areas))
		case slices.Contains(l.Areas[:i], name):
			c.fault(at, "piece.layer-area", "name", name)
		}
	}
	c.layerSpots(path, l)
	if !l.coatsCanBe() {
		c.fault(path+".coats", "piece.layer-coats", "high", mostLayerCoats)
	}
}
