package blend

import (
	"slices"

	"huewright/internal/fault"
)

// A layerVerdict is what a rule says of one coating over another.
type layerVerdict int

const (
	parted layerVerdict = iota // not over one another, unless a barrier lies between them
	sealed                     // they may follow, the lower one sealed first
	never
)

// A coatingClass picks coatings; an empty list is any.
type coatingClass struct {
	kinds    []Kind
	families []Family
	byHand   bool // brushed or wiped: what is sprayed has dried before it can stir what lies under it
}

func (m *coatingClass) has(c *Coating) bool {
	return (len(m.kinds) == 0 || slices.Contains(m.kinds, c.Kind)) && (len(m.families) == 0 || slices.Contains(m.families, c.Family)) &&
		!(m.byHand && c.sprayed())
}

func (c *Coating) sprayed() bool { return c.PutOn == Sprayed || c.Kind == "toner" }

// A layerRule is what the trade says of coatings of one class over those of another.
type layerRule struct {
	why         fault.Code
	under, over coatingClass
	sameFamily  bool // holds where both are of one known family
	verdict     layerVerdict
}

// layerRules are the rules of the layer order; the first that holds counts. What none of them names may lie over one another
// once the lower is dry.
//
// Common practice, no source, all of them: from the wood up lie dye, stain, glaze, toner, and wash and paint anywhere, but a dye
// or a stain must reach the wood. A solvent dissolves again what dried from it, unless that has hardened: paint hardens, dyes,
// shellac and lacquer do not; sprayed shellac or lacquer bites into its own kind, which is wanted. A dye bleeds into whatever
// dissolves it, sprayed or not. The strong thinner of lacquer wrinkles oil colour even after a day; an oil stain, wiped off,
// leaves too little to wrinkle. A glaze is worked by hand and comes up with the next that is.
var layerRules = []layerRule{
	{why: "layer.order", under: coatingClass{kinds: []Kind{"stain"}}, over: coatingClass{kinds: []Kind{"dye"}}, verdict: never},
	{why: "layer.order", under: coatingClass{kinds: []Kind{"glaze"}}, over: coatingClass{kinds: []Kind{"dye", "stain"}}, verdict: never},
	{
		why: "layer.order", under: coatingClass{kinds: []Kind{"toner"}}, over: coatingClass{kinds: []Kind{"dye", "stain", "glaze"}},
		verdict: never,
	},
	{
		why: "layer.needs-wood", under: coatingClass{kinds: []Kind{"wash", "paint"}}, over: coatingClass{kinds: []Kind{"dye", "stain"}},
		verdict: never,
	},
	{why: "layer.dissolves", under: coatingClass{kinds: []Kind{"dye"}}, sameFamily: true, verdict: parted},
	{why: "layer.dissolves", over: coatingClass{kinds: []Kind{"dye"}}, sameFamily: true, verdict: parted},
	{
		why: "layer.dissolves", under: coatingClass{families: []Family{Alcohol, Lacquer}}, over: coatingClass{byHand: true}, sameFamily: true,
		verdict: parted,
	},
	{
		why: "layer.wrinkles", under: coatingClass{kinds: []Kind{"glaze", "wash", "paint", "toner"}, families: []Family{OilBorne}},
		over: coatingClass{families: []Family{Lacquer}}, verdict: sealed,
	},
	{why: "layer.seal", under: coatingClass{kinds: []Kind{"glaze"}}, over: coatingClass{kinds: []Kind{"glaze"}}, verdict: sealed},
	{
		why: "layer.seal", under: coatingClass{kinds: []Kind{"glaze"}, families: []Family{WaterBorne, ""}},
		over: coatingClass{kinds: []Kind{"wash"}, families: []Family{WaterBorne, ""}, byHand: true}, verdict: sealed,
	},
}

// ruleFor returns the rule for one coating over another; nil where none forbids it. More of the same needs none.
func ruleFor(under, over *Coating) *layerRule {
	if under.Name == over.Name && under.Family == over.Family && under.Kind == over.Kind {
		return nil
	}
	for i := range layerRules {
		r := &layerRules[i]
		if r.sameFamily && (under.Family == "" || under.Family != over.Family) {
			continue
		}
		if r.under.has(under) && r.over.has(over) {
			return r
		}
	}
	return nil
}

func (r *layerRule) note(under, over *Coating) fault.Note {
	return fault.Say(r.why, "over", over.Name, "over-kind", string(over.Kind), "under", under.Name, "under-kind", string(under.Kind),
		"family", string(under.Family))
}

// MayLie reports whether one coating may be laid straight over another, and if not, why; see layerRules.
func MayLie(under, over *Coating) (ok bool, why fault.Note) {
	if r := ruleFor(under, over); r != nil && r.verdict != sealed {
		return false, r.note(under, over)
	}
	return true, fault.Note{}
}

// SealBetween returns what must be done between two coatings of which one may lie over the other; the empty note is nothing
// but letting the first dry. See layerRules.
func SealBetween(under, over *Coating) fault.Note {
	if r := ruleFor(under, over); r != nil && r.verdict == sealed {
		return r.note(under, over)
	}
	return fault.Note{}
}

// Barrier returns a thin coat that may lie between two coatings that must not touch, and why they must not; nil where they may,
// or where nothing parts them: see MayLie. It is of dewaxed shellac, which parts almost any two families, or, where alcohol would
// dissolve that, water-borne.
//
// Common practice, no source.
func Barrier(under, over *Coating) (*Coating, fault.Note) {
	r := ruleFor(under, over)
	if r == nil || r.verdict == never {
		return nil, fault.Note{}
	}
	for _, b := range []*Coating{Shellac, waterSealer} {
		if ruleFor(under, b) == nil && ruleFor(b, over) == nil {
			return b, r.note(under, over)
		}
	}
	return nil, r.note(under, over)
}

// Shellac and waterSealer are sealers; they dry as what their families dry to.
var (
	Shellac     = &Coating{Name: "dewaxed shellac", Kind: "paint", Family: Alcohol}
	waterSealer = &Coating{Name: "water-borne sealer", Kind: "paint", Family: WaterBorne}
)

// MostCoats returns how many coats of a coating are of use; 0 is as many as wanted. A stain is wiped on once, perhaps twice: then
// the wood is full.
//
// Common practice, no source.
func (k Kind) MostCoats() int {
	if k == "stain" {
		return 2
	}
	return 0
}

// TakesOn reports whether a coating takes on a surface as it is, and if not, why: a stain soaks in and is wiped off, and finds
// nothing to soak into on filler, epoxy or what is sealed. A surface that is not known counts as bare.
//
// Common practice, no source.
func (c *Coating) TakesOn(s Surface) (ok bool, why fault.Note) {
	if c.Kind == "stain" && (s == Sealed || s == ClearCoated || s == NonAbsorbing) {
		return false, fault.Say("layer.no-hold", "over", c.Name, "over-kind", string(c.Kind), "surface", string(s))
	}
	return true, fault.Note{}
}
