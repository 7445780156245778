package schedule

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
	Danger  string
	Do      string
}

// LabelFirst stands over all cautions.
const LabelFirst = "The label, the safety data sheet and your local rules come before anything said here; " +
	"lead and asbestos are work for those licensed for it."

// Cautions returns those of the trade, those that matter first. Common practice; the limit for dust is
// NIOSH's recommended exposure limit, the year that of the US ban on lead in house paint.
func Cautions(c Circumstance) []Caution {
	no := func(b *bool) bool { return b != nil && !*b }
	yes := func(b *bool) bool { return b != nil && *b }
	who := ""
	if !no(c.Children) {
		who = "; children and pregnant people stay away"
	}
	air := "; air the room"
	if yes(c.Indoors) {
		air = "; open windows on two sides, or work outside"
	}
	const leadBanned = 1978
	all := []Caution{
		{"lead", !no(c.OldFinish) && (c.YearMade == 0 || c.YearMade < leadBanned), "before",
			"An old finish may hold lead, in varnish and under later layers too.",
			"Test every layer. No dry sanding and no heat gun on it: wet methods, a HEPA vacuum" + who +
				". Where the law asks for it, certified people do it."},
		{"dust", true, "sanding",
			"Wood dust causes cancer; 1 mg in a cubic metre of air is the limit that NIOSH recommends.",
			"Extraction, and a mask that fits, for every sanding, however short."},
		{"rags", c.Oil || c.Unknown, "rags",
			"Rags with drying oil heat up by themselves and catch fire, hours later.",
			"Lay them out singly, outside, until they are hard. Do not heap them, and do not trust a closed tin or water to have cured them."},
		{"spraying", c.Sprayed, "coat",
			"Sprayed solvent is breathed in, and burns.",
			"A cartridge mask for organic vapour with P100, moving air, and no flame, pilot light or spark."},
		{"fire", c.Alcohol || c.Solvent || c.Unknown, "coat",
			"Alcohol, shellac and spirits burn, and so does their vapour.",
			"No flame, pilot light or spark near them" + air + "."},
		{"steel wool", c.WaterBorne, "sanding",
			"Steel wool, water and the tannin of wood make black stains, weeks later.",
			"Synthetic pads with anything water-borne; seal raw wood before a pale wash."},
		{"strippers", !no(c.OldFinish), "before",
			"Strippers with methylene chloride have killed.",
			"Do not use them. For others gloves, goggles and air; cold slows them."},
		{"bleach", false, "before",
			"There are three bleaches: two-part burns the skin, oxalic acid is poison, and laundry bleach with any acid makes chlorine gas.",
			"Never mix any of them. Neutralise as the label says, dry for a day, and never sand oxalic crystals."},
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
