package blend

import "huewright/internal/fault"

// level returns the place of a kind of coating in the layer order, from the wood up: dye, stain or glaze, toner. It is
// not ok for a wash or a paint, which may lie anywhere.
//
// Common practice, no source.
func (k Kind) level() (int, bool) {
	switch k {
	case "dye":
		return 0, true
	case "stain", "glaze":
		return 1, true
	case "toner":
		return 2, true
	}
	return 0, false
}

// MayLie reports whether one coating may be laid over another, and if not, why.
//
// Common practice, no source: a solvent dissolves again what dried from it unless it has hardened or is sealed off, and
// a dye or a stain must reach the wood. Paint hardens, so washes and paints of one family may follow one another.
func MayLie(under, over *Coating) (ok bool, why fault.Note) {
	u, known := under.Kind.level()
	o, alsoKnown := over.Kind.level()
	if known && alsoKnown && u > o {
		return false, fault.Say("layer.order", "over", over.Name, "over-kind", string(over.Kind), "under", under.Name, "under-kind", string(under.Kind))
	}
	if !known && (over.Kind == "dye" || over.Kind == "stain") {
		return false, fault.Say("layer.needs-wood", "over", over.Name, "over-kind", string(over.Kind), "under", under.Name)
	}
	dissolves := under.Kind == "dye" || over.Kind == "dye" || under.Family == Alcohol || under.Family == Lacquer
	if dissolves && under.Family != "" && under.Family == over.Family {
		return false, fault.Say("layer.dissolves", "over", over.Name, "under", under.Name, "family", string(under.Family))
	}
	return true, fault.Note{}
}

// SealBetween returns what must be done between two coatings of which one may lie over the other; the empty note is nothing
// but letting the first dry. A second glaze, worked by hand, would pull up the first.
//
// Common practice, no source.
func SealBetween(under, over *Coating) fault.Note {
	if under.Kind == "glaze" && over.Kind == "glaze" {
		return fault.Say("layer.seal", "under", under.Name, "over", over.Name)
	}
	return fault.Note{}
}
