package blend

import "fmt"

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
func MayLie(under, over *Coating) (ok bool, why string) {
	u, known := under.Kind.level()
	o, alsoKnown := over.Kind.level()
	if known && alsoKnown && u > o {
		return false, fmt.Sprintf("%s is a %s and belongs under %s, a %s: dye, then stain or glaze, then toner",
			over.Name, over.Kind, under.Name, under.Kind)
	}
	if !known && (over.Kind == "dye" || over.Kind == "stain") {
		return false, fmt.Sprintf("%s is a %s and must reach the wood: it does not take over %s", over.Name, over.Kind, under.Name)
	}
	dissolves := under.Kind == "dye" || over.Kind == "dye" || under.Family == Alcohol || under.Family == Lacquer
	if dissolves && under.Family != "" && under.Family == over.Family {
		return false, fmt.Sprintf("%s would dissolve %s again, both are thinned with %s: part them with %s",
			over.Name, under.Name, solvents[under.Family], barriers[under.Family])
	}
	return true, ""
}

// SealBetween returns what must be done between two coatings of which one may lie over the other; "" is nothing but
// letting the first dry. A second glaze, worked by hand, would pull up the first.
//
// Common practice, no source.
func SealBetween(under, over *Coating) string {
	if under.Kind == "glaze" && over.Kind == "glaze" {
		return fmt.Sprintf("seal %s with a thin clear coat and let it dry before %s", under.Name, over.Name)
	}
	return ""
}

var solvents = map[Family]string{WaterBorne: "water", OilBorne: "mineral spirits", Alcohol: "alcohol", Lacquer: "lacquer thinner"}

// barriers separate two coats of one family. Shellac is itself thinned with alcohol.
var barriers = map[Family]string{
	WaterBorne: "a coat of dewaxed shellac", OilBorne: "a coat of dewaxed shellac",
	Alcohol: "a sealer of another family", Lacquer: "a coat of dewaxed shellac",
}
