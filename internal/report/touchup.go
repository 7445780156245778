package report

import (
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// plannedCoatings is how many coatings of a shelf may be laid on areas: the others are for touching up.
func plannedCoatings(r *workshop.PlanResult) (n int) {
	for i := range r.Piece.Coatings {
		if !r.Piece.ForTouchingUp(&r.Piece.Coatings[i]) {
			n++
		}
	}
	return n
}

// alsoOn names the spots that are coated with an area; "" for none.
func (s Style) alsoOn(r *workshop.PlanResult, wood *workshop.AreaPlan) string {
	var spots []string
	for i := range r.Areas {
		if a := &r.Areas[i]; a.Area.PartOf == wood.Area.Name && r.WithWood(a) {
			spots = append(spots, s.the(a.Area.Name))
		}
	}
	if len(spots) == 0 {
		return ""
	}
	return s.say("touch.also-on", "spots", spots)
}

// Figures from which more is said of a touch-up, ΔE00. Our own choice.
const (
	sayAsNow    = 1.0 // that matching the wood as it is now ends further off
	sayFirstMix = 2.0 // that the first mix may be off
)

// TouchUpWords say what to touch a spot up with before the coats, how it ends then, and what corrects what is left.
func (s Style) TouchUpWords(t *plan.TouchUp) string {
	spot, wood := plainName(t.Area), plainName(t.PartOf)
	class, how := seen(t.AtEnd.Median), differs(t.WoodEnd, t.End)
	if how == "" {
		class += "-somehow"
	}
	ends := s.say("touch.ends", "spot", spot, "wood", wood, "seen", class, "how", how, "figure", deltaE(t.AtEnd.Median))
	correct := ""
	if plan.Visibility(t.AtEnd.Median) > 1 && t.Correct == nil && len(t.Mix) > 0 {
		correct = s.say("touch.correct-hide")
	}
	if c := t.Correct; c != nil {
		correct = s.say("touch.correct", "touches", c.Touches, "coating", c.Coating, "figure", c.After)
	}
	again := ""
	switch {
	case t.SealFirst():
		again = s.say("touch.seal-first", "spot", spot, "wood", wood)
	case t.Unsure():
		again = s.say("touch.look-again")
	}
	asNow := ""
	if now := t.MatchedNow.Median; now >= t.AtEnd.Median+sayAsNow && plan.Visibility(now) > 1 {
		asNow = s.say("touch.not-as-now", "wood", wood, "figure", now)
	}
	switch {
	case len(t.Mix) == 0 && plan.Visibility(t.AtEnd.Median) <= 1:
		return sentences(s.say("touch.not-needed", "spot", spot), ends, asNow, again)
	case len(t.Mix) == 0:
		says := s.say("touch.none", "spot", spot, "hex", t.Aim.Hex())
		if t.TooDark {
			says = s.say("touch.too-dark", "spot", spot, "hex", t.Aim.Hex())
		}
		return sentences(says, ends, correct, again)
	}
	do, dab := s.say("touch.up", "spot", spot, "what", s.mixOf(t)), ""
	if t.Touches == 0 {
		dab = s.say("touch.aim", "hex", t.Aim.Hex())
	}
	if len(t.Mix) > 1 && t.FirstMix.Median >= sayFirstMix {
		dab = s.say("touch.dab", "hex", t.Aim.Hex())
	}
	return sentences(do, dab, asNow, ends, correct, s.underLamp(t), again)
}

// mixOf is what to touch a spot up with: "3 drops of white and 1 of burnt red, until the spot no longer shows through".
func (s Style) mixOf(t *plan.TouchUp) string {
	if t.Touches > 0 {
		return s.say("touch.touches", "touches", t.Touches, "coating", t.Mix[0].Coating)
	}
	var parts []fault.Note
	for i, m := range t.Mix {
		part := fault.Say("touch.then-drops", "n", m.Parts, "paint", m.Coating)
		if i == 0 {
			part = fault.Say("touch.drops", "n", m.Parts, "paint", m.Coating)
		}
		parts = append(parts, part)
	}
	if len(parts) == 1 {
		return s.say("touch.until-hidden", "what", t.Mix[0].Coating)
	}
	return s.say("touch.until-hidden", "what", s.say("touch.list", "parts", parts))
}

// underLamp says where a match that holds by day breaks in lamplight.
func (s Style) underLamp(t *plan.TouchUp) string {
	if plan.Visibility(t.Lamp.Median) > 1 && t.Lamp.Median >= t.AtEnd.Median+colour.Perceptible {
		return s.say("touch.under-lamp", "spot", plainName(t.Area), "figure", t.Lamp.Median)
	}
	return ""
}

// touchUpDetails are the figures of a touch-up.
func (p *page) touchUpDetails(t *plan.TouchUp) {
	p.line("")
	p.wrapped("  ", p.say("touch.title", "spot", plainName(t.Area)))
	p.colourRow("    "+p.say("touch.row-aim"), 0, t.Aim, "")
	if len(t.Mix) > 0 {
		p.colourRow("    "+p.say("touch.row-mixed"), 0, t.Mixed, "")
	}
	p.wrapped("    ", p.say("touch.figures", "now", spread(t.Now), "after", spread(t.AfterTouchUp), "end", spread(t.AtEnd)))
	p.wrapped("    ", p.say("touch.otherwise", "untouched", spread(t.Untouched), "matched", spread(t.MatchedNow), "lamp", spread(t.Lamp)))
	if len(t.Mix) > 1 {
		p.wrapped("    ", p.say("touch.first-mix", "off", spread(t.FirstMix)))
	}
}

// touchUpJSON is what a spot is touched up with before the coats.
type touchUpJSON struct {
	Area         string        `json:"area"`
	PartOf       string        `json:"part_of"`
	Mix          []touchOfJSON `json:"mix"`     // empty where nothing is needed, or nothing on the shelf helps
	Touches      int           `json:"touches"` // of a coating that does not hide; 0: until the spot no longer shows through
	Aim          [3]num        `json:"aim"`     // the colour that the spot is to dry to, before the coats
	Mixed        [3]num        `json:"mixed"`   // that the mix is expected to dry to
	Now          num           `json:"now"`     // ΔE00 from its wood, like all that follow
	AfterTouchUp num           `json:"after_touch_up"`
	AtEnd        num           `json:"at_end"`
	AtEndRange   [2]num        `json:"at_end_range"`
	Untouched    num           `json:"untouched"`   // at the end, left as it is
	MatchedNow   num           `json:"matched_now"` // at the end, painted to the wood's colour of today
	Lamp         num           `json:"lamp"`        // at the end, under a filament lamp
	FirstMixOff  num           `json:"first_mix_off"`
	Correct      *correctJSON  `json:"correct"` // of what is left at the end; null where it passes or nothing helps
	Words        string        `json:"words"`
}

type touchOfJSON struct {
	Paint string `json:"paint"`
	Parts int    `json:"parts"`
}

type correctJSON struct {
	Coating string `json:"coating"`
	Touches int    `json:"touches"`
	After   num    `json:"after"`
}

func touchUpsOf(r *workshop.PlanResult) []touchUpJSON {
	all := []touchUpJSON{}
	for i := range r.TouchUps {
		all = append(all, touchUpOf(&r.TouchUps[i]))
	}
	return all
}

func touchUpOf(t *plan.TouchUp) touchUpJSON {
	out := touchUpJSON{
		Area: t.Area, PartOf: t.PartOf, Mix: []touchOfJSON{}, Touches: t.Touches, Aim: triple(t.Aim), Mixed: triple(t.Mixed),
		Now: num(t.Now.Median), AfterTouchUp: num(t.AfterTouchUp.Median), AtEnd: num(t.AtEnd.Median),
		AtEndRange: [2]num{num(t.AtEnd.Low), num(t.AtEnd.High)}, Untouched: num(t.Untouched.Median), MatchedNow: num(t.MatchedNow.Median),
		Lamp: num(t.Lamp.Median), FirstMixOff: num(t.FirstMix.Median), Words: Style{}.TouchUpWords(t),
	}
	for _, m := range t.Mix {
		out.Mix = append(out.Mix, touchOfJSON{m.Coating, m.Parts})
	}
	if c := t.Correct; c != nil {
		out.Correct = &correctJSON{c.Coating, c.Touches, num(c.After)}
	}
	return out
}
