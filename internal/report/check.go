package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"huewright/blend/repair"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// CheckText writes what shows of a repair for a terminal.
func (s Style) CheckText(w io.Writer, r *workshop.CheckResult) error {
	p := page{Style: s}
	if s.Quiet {
		p.line("%s", r.Verdict)
		return p.writeTo(w)
	}
	p.line("%s", r.Photo)
	p.check(r)
	return p.writeTo(w)
}

// CheckPieceText writes what shows of the repairs of a piece for a terminal.
func (s Style) CheckPieceText(w io.Writer, all []workshop.RepairChecked) error {
	if s.Quiet {
		return s.quietCheck(w, all)
	}
	p := page{Style: s}
	for i, r := range all {
		if i > 0 {
			p.line("")
		}
		if r.Err != nil {
			p.line("%s", r.Name)
			p.fault("  ", p.say("check.not-judged")+" ", r.Err)
			continue
		}
		p.line("%s, %s", r.Name, r.Result.Photo)
		p.repairAtEnd(r.AtEnd)
		p.check(r.Result)
	}
	return p.writeTo(w)
}

// repairAtEnd says of a repair whose wood has still to be coloured how it ends.
func (p *page) repairAtEnd(r *workshop.RepairAtEnd) {
	if r == nil {
		return
	}
	t := &r.TouchUp
	left := ""
	if len(t.Mix) > 0 {
		left = p.say("check.left-as-it-is", "seen", seen(t.Untouched.Median), "figure", deltaE(t.Untouched.Median))
	}
	p.wrapped("  ", sentences(p.say("check.coats-to-come", "n", r.Coats, "wood", plainName(t.PartOf)), left, p.TouchUpWords(t)))
}

// verdicts are the verdicts as the catalogue's sentences select them.
var verdicts = map[repair.Verdict]string{
	repair.Reads: "reads", repair.Slight: "slight", repair.ShowNear: "near", repair.Shows: "shows",
}

func (p *page) check(r *workshop.CheckResult) {
	p.wrapped("  ", p.say("check.verdict", "verdict", verdicts[r.Verdict]))
	if r.Verdict != repair.Reads {
		for _, why := range p.Warnings(r.Why) {
			p.wrapped("    ", why)
		}
		if far := p.fromWhere(r.Far); far != "" {
			p.wrapped("    ", far)
		}
	}
	for i, do := range p.Warnings(r.Advice) {
		lead := "  " + p.say("check.do") + " "
		if i > 0 {
			lead = strings.Repeat(" ", utf8.RuneCountInString(lead))
		}
		p.wrapped(lead, do)
	}
	for _, risk := range r.Lights {
		if risk.Risky() {
			p.wrapped("  ", p.say("check.light-risk", "light", risk.Light, "now", risk.Now, "then", risk.High))
		}
	}
	if l := r.Lamp; l != nil {
		p.wrapped("  ", p.say("check.under-lamp", "verdict", verdicts[l.Verdict], "lamp", l.Near.Colour, "day", r.Near.Colour))
	}
	if b := r.Before; b != nil {
		p.wrapped("  ", sentences(p.say("check.before", "before", b.Near.Rank.Of100, "now", r.Near.Rank.Of100),
			p.say("check.before-figures", "before", b.Near.Colour, "now", r.Near.Colour)))
	}
	p.line("")
	p.certainty(&r.RepairSeen)
}

// certainty says how sure a verdict is, and what it rests on.
func (p *page) certainty(r *workshop.RepairSeen) {
	rank := &r.Near.Rank
	p.wrapped("  ", sentences(p.standsOut(rank), p.reference(&r.Calibration), p.light(r.Calibration.Light)))
	if p.Full {
		var ranks []string
		for _, aspect := range repair.Aspects {
			ranks = append(ranks, fmt.Sprintf("%s %.0f", aspect, rank.ByAspect[aspect]))
		}
		p.wrapped("  of 100: ", strings.Join(ranks, ", "))
		p.wrapped("  ", p.say("check.colour", "colour", r.Near.Colour))
		if r.Coherence > 0.25 {
			p.wrapped("  ", p.say("check.grain-runs", "degrees", math.Round(math.Abs(math.Remainder(r.Along, 180)))))
		}
		if r.Left > 0.02 {
			p.wrapped("  ", p.say("check.left-out", "share", r.Left))
		}
	}
	p.warnings("  ", r.Calibration.Warnings)
	p.warnings("  ", r.Warnings)
}

// standsOut says how a repair ranks among equal patches of the wood.
func (s Style) standsOut(r *repair.Rank) string {
	if r.Of100 >= 99.5 {
		return s.say("check.stands-out-most", "patches", r.Patches)
	}
	return s.say("check.stands-out", "of-100", math.Round(r.Of100), "patches", r.Patches)
}

// fromWhere says from which distances a repair is seen, and from which no more; "" where none was asked about.
func (s Style) fromWhere(far []repair.View) string {
	var near, beyond []fault.Note
	for _, v := range far {
		if at := fault.Say("check.distance", "distance", v.Distance); v.Seen {
			near = append(near, at)
		} else {
			beyond = append(beyond, at)
		}
	}
	switch {
	case len(near) > 0 && len(beyond) > 0:
		return s.say("check.seen-not", "near", near, "far", beyond)
	case len(near) > 0:
		return s.say("check.seen-all", "near", near)
	case len(beyond) > 0:
		return s.say("check.not-seen", "far", beyond)
	}
	return ""
}

// CheckWords are what shows of a repair in sentences.
type CheckWords struct {
	Verdict   string
	StandsOut string   // among equal patches of the wood
	Why       []string // what differs, and from where it is seen
	Advice    []string
	Colour    string // how much it differs, in figures
}

// CheckWords says what shows of a repair.
func (s Style) CheckWords(r *workshop.CheckResult) CheckWords {
	c := CheckWords{
		Verdict: s.say("check.verdict", "verdict", verdicts[r.Verdict]), StandsOut: s.standsOut(&r.Near.Rank),
		Colour: s.say("check.colour", "colour", r.Near.Colour),
	}
	if r.Verdict != repair.Reads {
		c.Why = s.Warnings(r.Why)
		if far := s.fromWhere(r.Far); far != "" {
			c.Why = append(c.Why, far)
		}
	}
	c.Advice = s.Warnings(r.Advice)
	for _, risk := range r.Lights {
		if risk.Risky() {
			c.Why = append(c.Why, s.say("check.light-risk", "light", risk.Light, "now", risk.Now, "then", risk.High))
		}
	}
	return c
}

type checkJSON struct {
	Version int `json:"version"`
	seenJSON
	Advice []string   `json:"advice"`
	Lights []riskJSON `json:"lights"` // guessed; empty where lamp is measured
	Before *seenJSON  `json:"before"`
	Lamp   *seenJSON  `json:"lamp"`
}

type repairAtEndJSON struct {
	Coats   int         `json:"coats_to_come"` // on its wood
	TouchUp touchUpJSON `json:"touch_up"`
}

type seenJSON struct {
	Photo       string          `json:"photo"`
	Calibration calibrationJSON `json:"calibration"`
	Verdict     string          `json:"verdict"`
	Near        viewJSON        `json:"near"`
	Far         []viewJSON      `json:"far"` // empty when nothing tells the scale
	Why         []string        `json:"why"`
	GrainAngle  num             `json:"grain_degrees"` // from level, anticlockwise
	LeftOut     num             `json:"left_out"`      // share of what lies round it
	Warnings    []string        `json:"warnings"`
}

type viewJSON struct {
	DistanceMM num            `json:"distance_mm"` // 0 for the picture itself
	Of100      num            `json:"of_100"`      // patches that stand out less
	ByAspect   map[string]num `json:"by_aspect"`
	Patches    int            `json:"patches"`
	Colour     num            `json:"delta_e"`
	Ground     num            `json:"delta_e_ground"`
	Figure     num            `json:"delta_e_figure"`
	Beyond     num            `json:"delta_e_beyond"` // what of delta_e is beyond the usual in this wood
	Spread     num            `json:"spread"`
	Line       num            `json:"line"`
	Turned     num            `json:"turned"`
	Seen       bool           `json:"seen"`
}

type riskJSON struct {
	Light  string `json:"light"`
	Median num    `json:"delta_e_median"`
	High   num    `json:"delta_e_high"`
	Breaks num    `json:"breaks"` // share of guesses
}

// CheckJSON writes what shows of a repair as JSON.
func CheckJSON(w io.Writer, r *workshop.CheckResult) error {
	return writeJSON(w, checkOf(r))
}

type checkPieceJSON struct {
	Version int          `json:"version"`
	Repairs []repairJSON `json:"repairs"`
}

type repairJSON struct {
	Name  string     `json:"name"`
	Error string     `json:"error,omitempty"`
	Hint  string     `json:"hint,omitempty"`
	Check *checkJSON `json:"check"` // null with an error

	AtEnd *repairAtEndJSON `json:"at_end"` // what is still to come; null where its wood gets no more coats, or nothing is planned
}

// CheckPieceJSON writes what shows of the repairs of a piece as JSON.
func CheckPieceJSON(w io.Writer, all []workshop.RepairChecked) error {
	out := checkPieceJSON{Version: Version}
	for _, r := range all {
		one := repairJSON{Name: r.Name}
		if r.Err != nil {
			one.Error, one.Hint = words.Speaker{}.Fault(r.Err)
		} else {
			one.Check = checkOf(r.Result)
		}
		if r.AtEnd != nil {
			one.AtEnd = &repairAtEndJSON{r.AtEnd.Coats, touchUpOf(&r.AtEnd.TouchUp)}
		}
		out.Repairs = append(out.Repairs, one)
	}
	return writeJSON(w, out)
}

func checkOf(r *workshop.CheckResult) *checkJSON {
	out := &checkJSON{Version: Version, seenJSON: *seenOf(&r.RepairSeen), Advice: warningsOf(r.Advice), Lights: []riskJSON{}}
	for _, risk := range r.Lights {
		out.Lights = append(out.Lights, riskJSON{words.Speaker{}.Say(risk.Light), num(risk.Median), num(risk.High), num(risk.Breaks)})
	}
	if r.Before != nil {
		out.Before = seenOf(r.Before)
	}
	if r.Lamp != nil {
		out.Lamp = seenOf(r.Lamp)
	}
	return out
}

func seenOf(r *workshop.RepairSeen) *seenJSON {
	out := &seenJSON{
		Photo: r.Photo, Calibration: calibrationOf(r.Calibration), Verdict: string(r.Verdict), Near: viewOf(&r.Near), Far: []viewJSON{},
		Why: warningsOf(r.Why), GrainAngle: num(r.Along), LeftOut: num(r.Left), Warnings: warningsOf(r.Warnings),
	}
	for i := range r.Far {
		out.Far = append(out.Far, viewOf(&r.Far[i]))
	}
	return out
}

func viewOf(s *repair.View) viewJSON {
	out := viewJSON{
		DistanceMM: num(s.Distance), Of100: num(s.Rank.Of100), ByAspect: map[string]num{}, Patches: s.Rank.Patches,
		Colour: num(s.Colour), Ground: num(s.Ground), Figure: num(s.Figure), Beyond: num(s.ColourResidual),
		Spread: num(s.Spread), Line: num(s.Line), Turned: num(s.Turned), Seen: s.Seen,
	}
	for aspect, of := range s.Rank.ByAspect {
		out.ByAspect[aspect] = num(of)
	}
	return out
}
