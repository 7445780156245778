package schedule

import "huewright/internal/fault"

// A Circumstance is what is known of a piece and of the work on it. What is not known counts as dangerous.
type Circumstance struct {
	YearMade   int   // 0 not known
	OldFinish  *bool // whether any of it is still on; nil not known
	Indoors    *bool
	Children   *bool // or pregnant people about
	Sprayed    bool
	Wiped      bool // with a rag
	Oil        bool // something with drying oil is used
	Alcohol    bool
	WaterBorne bool
	Solvent    bool // lacquer or spirits
	Unknown    bool // of something used it is not known what it is thinned with
}

// A Caution is a danger of the work and what to do about it. Those that do not seem to matter are returned too: an
// answer may be wrong.
type Caution struct {
	Key     string // lead, dust, rags, strippers, spraying, fire, bleach, steel wool
	Matters bool   // here, as far as is known
	At      string // the work it belongs to: before, sanding, coat, rags, clear
	// Danger says what the danger is; its hint, what to do about it.
	Danger fault.Note
}

// LabelFirst stands over all cautions.
const LabelFirst fault.Code = "caution.label-first"

// Cautions returns those of the trade, those that matter first. Common practice; the limit for dust is
// NIOSH's recommended exposure limit, the year that of the US ban on lead in house paint.
func Cautions(c Circumstance) []Caution {
	no := func(b *bool) bool { return b != nil && !*b }
	yes := func(b *bool) bool { return b != nil && *b }
	answer := func(is bool) string {
		if is {
			return "yes"
		}
		return "no"
	}
	const leadBanned = 1978
	all := []Caution{
		{"lead", !no(c.OldFinish) && (c.YearMade == 0 || c.YearMade < leadBanned), "before",
			fault.Say("caution.lead", "children", answer(!no(c.Children)))},
		{"dust", true, "sanding", fault.Say("caution.dust")},
		{"rags", c.Oil || c.Unknown, "rags", fault.Say("caution.rags")},
		{"spraying", c.Sprayed, "coat", fault.Say("caution.spraying")},
		{"fire", c.Alcohol || c.Solvent || c.Unknown, "coat", fault.Say("caution.fire", "indoors", answer(yes(c.Indoors)))},
		{"steel wool", c.WaterBorne, "sanding", fault.Say("caution.steel-wool")},
		{"strippers", !no(c.OldFinish), "before", fault.Say("caution.strippers")},
		{"bleach", false, "before", fault.Say("caution.bleach")},
	}
	ordered := make([]Caution, 0, len(all))
	for _, matters := range []bool{true, false} {
		for _, c := range all {
			if c.Matters == matters {
				ordered = append(ordered, c)
			}
		}
	}
	return ordered
}
