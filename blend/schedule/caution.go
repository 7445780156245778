package schedule

import (
	"slices"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Circumstance is what is known of a piece and of the work on it. What is not known counts as dangerous.
type Circumstance struct {
	YearMade  int    // 0 not known
	Country   string // one of Countries; "" not known
	OldFinish *bool  // whether any of it is still on; nil not known
	Indoors   *bool
	Children  *bool // or pregnant people about
	RedWood   bool  // a wood whose colour bleeds
	Filled    bool  // filler, putty or epoxy is in it, or will be
	Bleached  bool  // bleach is advised

	Sprayed    bool
	Oil        bool // something with drying oil is used
	Alcohol    bool
	WaterBorne bool
	Lacquer    bool
	Unknown    bool // of something used it is not known what it is thinned with
}

// Countries are those whose laws on lead paint are known, and "other".
var Countries = []string{"us", "uk", "other"}

// leadBanned is the year from which a country's paint may hold no lead to speak of. From memory: the US ban on lead in house paint
// came into force in 1978, that of the UK in 1992; elsewhere later, or never, so that no year counts as safe.
var leadBanned = map[string]int{"us": 1978, "uk": 1992}

// Use adds what is used with a coating.
func (c *Circumstance) Use(k *blend.Coating) {
	switch k.Family {
	case blend.OilBorne:
		c.Oil = true
	case blend.Alcohol:
		c.Alcohol = true
	case blend.Lacquer:
		c.Lacquer = true
	case blend.WaterBorne:
		c.WaterBorne = true
	default:
		c.Unknown = true
	}
	c.Sprayed = c.Sprayed || k.PutOn == blend.Sprayed || k.Kind == "toner"
}

// Laying is the circumstance of a coat of one coating, or of those in a mix: of all that is used on the piece it keeps these alone.
func (c Circumstance) Laying(coatings ...*blend.Coating) Circumstance {
	c.Sprayed, c.Oil, c.Alcohol, c.WaterBorne, c.Lacquer, c.Unknown = false, false, false, false, false, false
	for _, k := range coatings {
		c.Use(k)
	}
	return c
}

// mayBurn reports whether any coating that is used may be thinned with something that burns. None that is known counts as one that may.
func (c *Circumstance) mayBurn() bool {
	return c.Oil || c.Alcohol || c.Lacquer || c.Unknown || !c.WaterBorne
}

// leadLikely reports whether there may be lead in an old finish.
func (c *Circumstance) leadLikely() bool {
	if no(c.OldFinish) {
		return false
	}
	banned, known := leadBanned[c.Country]
	return !known || c.YearMade == 0 || c.YearMade < banned
}

func no(b *bool) bool  { return b != nil && !*b }
func yes(b *bool) bool { return b != nil && *b }

// A Caution is a danger of the work and what to do about it. Those that do not seem to matter are returned too: an
// answer may be wrong.
type Caution struct {
	Key     string
	Matters bool   // here, as far as is known
	At      string // the work it belongs to: before, sanding, coat, rags
	Works   []Work // the steps it belongs to
	Forbids []Practice
	// Danger says what the danger is; its hint, what to do about it.
	Danger fault.Note
}

// LabelFirst stands over all cautions.
const LabelFirst fault.Code = "caution.label-first"

var (
	sanding  = []Work{Sand, Repair, ScuffOld, Scuff}
	laying   = []Work{LayCoat, SealCoat, TestSpot, TouchUp}
	solvents = []Work{Clean, LayCoat, SealCoat, TestSpot, TouchUp}
	first    = []Work{Clean, BleedTest}
	// solventsBesides are the works with solvents, or with what seals, where all coatings are water-borne.
	solventsBesides = []Work{Clean, SealCoat}
)

// cautions are those of the trade, the worst danger first; a caution that matters stands at each of its works. Common practice, no
// source, but for the limit of dust, which is NIOSH's recommended exposure limit.
var cautions = []struct {
	key, at string
	works   []Work
	danger  fault.Code
	forbids []Practice
	matters func(c *Circumstance) bool
}{
	{"lead", "before", []Work{LeadTest, Clean, Repair, Sand, ScuffOld}, "caution.lead", []Practice{DrySanding}, (*Circumstance).leadLikely},
	{"isocyanate", "coat", laying, "caution.isocyanate", nil, func(c *Circumstance) bool { return c.Sprayed && (c.Lacquer || c.Unknown) }},
	{"rags", "rags", []Work{LayCoat, TestSpot, TouchUp, Cure}, "caution.rags", nil, func(c *Circumstance) bool { return c.Oil || c.Unknown }},
	{"fire", "coat", solvents, "caution.fire", nil, func(c *Circumstance) bool { return true }},
	{"spraying", "coat", laying, "caution.spraying", nil, func(c *Circumstance) bool { return c.Sprayed }},
	{"strippers", "before", first, "caution.strippers", nil, func(c *Circumstance) bool { return !no(c.OldFinish) }},
	{"bleach", "before", first, "caution.bleach", nil, func(c *Circumstance) bool { return c.Bleached }},
	{"dust", "sanding", sanding, "caution.dust", nil, func(c *Circumstance) bool { return true }},
	{"epoxy", "sanding", []Work{Repair}, "caution.epoxy", nil, func(c *Circumstance) bool { return c.Filled }},
	{"filler dust", "sanding", []Work{Repair, Sand}, "caution.filler-dust", nil, func(c *Circumstance) bool { return c.Filled }},
	{"pets", "coat", append(slices.Clone(laying), Cure), "caution.pets", nil, func(c *Circumstance) bool { return true }},
	{"masks", "sanding", append(slices.Clone(sanding), laying...), "caution.masks", nil, func(c *Circumstance) bool { return true }},
	{"steel wool", "sanding", append(slices.Clone(sanding), Clean), "caution.steel-wool", []Practice{SteelWool},
		func(c *Circumstance) bool { return c.WaterBorne || c.Unknown }},
	{"bleed", "before", []Work{BleedTest, TestSpot}, "caution.bleed", nil,
		func(c *Circumstance) bool { return c.RedWood || !no(c.OldFinish) }},
	{"silicone", "before", []Work{Clean, TestSpot}, "caution.silicone", nil, func(c *Circumstance) bool { return !no(c.OldFinish) }},
}

// Cautions returns those of the trade, those that matter first, the worst danger first among them.
func Cautions(c Circumstance) []Caution {
	answer := func(is bool) string {
		if is {
			return "yes"
		}
		return "no"
	}
	var matter, others []Caution
	for _, row := range cautions {
		if row.key == "fire" && !c.mayBurn() {
			row.works = solventsBesides
		}
		k := Caution{
			Key: row.key, Matters: row.matters(&c), At: row.at, Works: row.works, Forbids: row.forbids,
			Danger: fault.Say(row.danger, "children", answer(!no(c.Children)), "indoors", answer(yes(c.Indoors))),
		}
		if k.Matters {
			matter = append(matter, k)
		} else {
			others = append(others, k)
		}
	}
	return append(matter, others...)
}

// mostCautions is how many cautions stand at one step. Our own choice: more are not read.
const mostCautions = 3

// MattersMost returns the cautions that matter most for a kind of work, the worst danger first; "" is all of the work.
func MattersMost(w Work, all []Caution) (most []Caution) {
	for _, c := range all {
		if c.Matters && len(most) < mostCautions && (w == "" || slices.Contains(c.Works, w)) {
			most = append(most, c)
		}
	}
	return most
}
