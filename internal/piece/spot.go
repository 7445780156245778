package piece

import (
	"fmt"
	"slices"

	"huewright/internal/fault"
)

// A spot is an area that is part of another: filled, or sanded through, in a wood that is coated with it.

// Spots are the areas that are part of an area.
func (p *Piece) Spots(area string) (all []*Area) {
	for i := range p.Areas {
		if p.Areas[i].PartOf == area && area != "" {
			all = append(all, &p.Areas[i])
		}
	}
	return all
}

// AreaNamed is the area of a name; nil for none.
func (p *Piece) AreaNamed(name string) *Area {
	for i := range p.Areas {
		if p.Areas[i].Name == name {
			return &p.Areas[i]
		}
	}
	return nil
}

// ForTouchingUp reports whether a coating is kept for touching up spots: a paint as it comes out of its tube or tin, on the shelf of a
// piece that has spots, which no layer names.
func (p *Piece) ForTouchingUp(k *Coating) bool {
	return k.Kind == "paint" && k.Dilution.Share() == 1 &&
		slices.ContainsFunc(p.Areas, func(a Area) bool { return a.PartOf != "" }) &&
		!slices.ContainsFunc(p.Layers, func(l Layer) bool { return l.Coating == k.Name })
}

// Names reports whether a layer goes on an area by its own name, or on all.
func (l *Layer) Names(area string) bool { return len(l.Areas) == 0 || slices.Contains(l.Areas, area) }

// On are the areas that a layer goes on, by their places in the piece; nil for all. It goes on the spots of the areas that it names, but
// for a spot that some layer names itself.
func (l *Layer) On(p *Piece) (areas []int) {
	for i := range p.Areas {
		a := &p.Areas[i]
		named := slices.ContainsFunc(p.Layers, func(l Layer) bool { return slices.Contains(l.Areas, a.Name) })
		if slices.Contains(l.Areas, a.Name) || !named && a.PartOf != "" && slices.Contains(l.Areas, a.PartOf) {
			areas = append(areas, i)
		}
	}
	return areas
}

func (c *checker) partOf(path string, a *Area) {
	at := path + ".part_of"
	switch wood := c.piece.AreaNamed(a.PartOf); {
	case a.PartOf == "":
	case wood == nil:
		areas := namesOf(c.piece.Areas, func(a *Area) string { return a.Name })
		areas = slices.DeleteFunc(areas, func(name string) bool { return name == a.Name })
		f := fault.New(fault.Use, "piece.no-wood", "name", a.PartOf, "names", areas, "n", len(areas))
		if near := slices.IndexFunc(areas, func(known string) bool { return misspelt(a.PartOf, known) }); near >= 0 {
			f.Hint = fault.Say("piece.did-you-mean", "name", areas[near])
		}
		c.keep(at, f)
	case wood == a || a.PartOf == a.Name:
		c.fault(at, "piece.part-of-itself", "name", a.Name)
	case wood.PartOf != "":
		c.fault(at, "piece.part-of-part", "name", wood.Name, "wood", wood.PartOf)
	case a.Target != nil:
		c.fault(path+".target", "piece.spot-target", "wood", a.PartOf)
	}
}

// layerSpots checks that a layer with a number to be found names no spot without its wood, which the number is found for.
func (c *checker) layerSpots(path string, l *Layer) {
	if _, known := l.Count(); known {
		return
	}
	for i, name := range l.Areas {
		if a := c.piece.AreaNamed(name); a != nil && a.PartOf != "" && !slices.Contains(l.Areas, a.PartOf) {
			c.fault(fmt.Sprintf("%s.areas[%d]", path, i), "piece.layer-spot", "name", name, "wood", a.PartOf)
		}
	}
}
