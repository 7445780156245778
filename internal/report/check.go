package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"huewright/blend/repair"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// CheckText writes what shows of a repair for a terminal.
func (s Style) CheckText(w io.Writer, r *workshop.CheckResult) error {
	p := page{Style: s}
	p.check(r)
	return p.writeTo(w)
}

// CheckPieceText writes what shows of the repairs of a piece for a terminal.
func (s Style) CheckPieceText(w io.Writer, all []workshop.RepairChecked) error {
	p := page{Style: s}
	for i, r := range all {
		if i > 0 {
			p.line("")
		}
		if r.Err != nil {
			p.fault(r.Name+": ", "not judged: ", r.Err)
			continue
		}
		p.WriteString(r.Name + ", ")
		p.check(r.Result)
	}
	return p.writeTo(w)
}

func (p *page) check(r *workshop.CheckResult) {
	p.line("%s", r.Photo)
	p.calibration("  ", r.Calibration)
	p.line("")
	p.repairSeen(&r.RepairSeen)
	for _, do := range r.Advice {
		p.wrapped("  next: ", do)
	}
	for _, risk := range r.Lights {
		if risk.Risky() {
			p.wrapped("  ", fmt.Sprintf("under a %s it may part from the wood: %.1f ΔE00 in daylight, up to %.1f there (a guess from "+
				"three numbers; look at it under the lamp)", risk.Light, risk.Now, risk.High))
		}
	}
	if r.Lamp != nil {
		p.line("")
		p.wrapped("  under the lamp, measured: ", fmt.Sprintf("%s; %.1f ΔE00 from the wood, in "+
			"daylight %.1f", r.Lamp.Verdict, r.Lamp.Near.Colour, r.Near.Colour))
	}
	if r.Before != nil {
		p.line("")
		p.wrapped("  before: ", fmt.Sprintf("%s; stood out more than %.0f of 100 patches, now than %.0f; %.1f ΔE00 from the wood, now %.1f",
			r.Before.Verdict, r.Before.Near.Rank.Of100, r.Near.Rank.Of100, r.Before.Near.Colour, r.Near.Colour))
	}
}

func (p *page) repairSeen(r *workshop.RepairSeen) {
	p.wrapped("  repair: ", string(r.Verdict))
	p.wrapped("  ", standsOut(&r.Near.Rank))
	for _, why := range r.Why {
		p.wrapped("  ", why)
	}
	if far := fromWhere(r.Far); far != "" && r.Near.Seen {
		p.wrapped("  ", far)
	}
	var ranks []string
	for _, aspect := range repair.Aspects {
		ranks = append(ranks, fmt.Sprintf("%s %.0f", aspect, r.Near.Rank.ByAspect[aspect]))
	}
	p.wrapped("  of 100: ", strings.Join(ranks, ", "))
	if r.Coherence > 0.25 {
		p.wrapped("  ", fmt.Sprintf("the wood's grain runs %.0f° from level", math.Abs(math.Remainder(r.Along, 180))))
	}
	if r.Left > 0.02 {
		p.wrapped("  ", fmt.Sprintf("%.0f %% of what lies round it was left out: other wood, joints, background or glare", 100*r.Left))
	}
	p.warnings("  ", r.Warnings)
}

func standsOut(r *repair.Rank) string {
	if r.Of100 >= 99.5 {
		return fmt.Sprintf("it stands out more than any of %d equal patches of this wood", r.Patches)
	}
	return fmt.Sprintf("it stands out more than %.0f of 100 equal patches of this wood (%d were looked at)", r.Of100, r.Patches)
}

// fromWhere says from which distances a repair is seen, and from which no more.
func fromWhere(far []repair.View) string {
	var seen, not []string
	for _, s := range far {
		if at := fmt.Sprintf("%.1f m", s.Distance/1000); s.Seen {
			seen = append(seen, at)
		} else {
			not = append(not, at)
		}
	}
	switch {
	case len(far) == 0:
		return ""
	case len(not) == 0:
		return "seen from " + strings.Join(seen, ", ")
	case len(seen) == 0:
		return "not seen from " + strings.Join(not, ", ")
	}
	return "seen from " + strings.Join(seen, ", ") + "; not from " + strings.Join(not, ", ")
}

type checkJSON struct {
	Version int `json:"version"`
	seenJSON
	Advice []string   `json:"advice"`
	Lights []riskJSON `json:"lights"` // guessed; empty where lamp is measured
	Before *seenJSON  `json:"before"`
	Lamp   *seenJSON  `json:"lamp"`
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

// CheckPieceJSON writes what shows of the repairs of a piece as JSON.
func CheckPieceJSON(w io.Writer, all []workshop.RepairChecked) error {
	type repairJSON struct {
		Name  string     `json:"name"`
		Error string     `json:"error,omitempty"`
		Hint  string     `json:"hint,omitempty"`
		Check *checkJSON `json:"check"` // null with an error
	}
	out := struct {
		Version int          `json:"version"`
		Repairs []repairJSON `json:"repairs"`
	}{Version: version}
	for _, r := range all {
		one := repairJSON{Name: r.Name}
		if r.Err != nil {
			one.Error, one.Hint = words.Speaker{}.Fault(r.Err)
		} else {
			one.Check = checkOf(r.Result)
		}
		out.Repairs = append(out.Repairs, one)
	}
	return writeJSON(w, out)
}

func checkOf(r *workshop.CheckResult) *checkJSON {
	out := &checkJSON{Version: version, seenJSON: *seenOf(&r.RepairSeen), Advice: nonNil(r.Advice), Lights: []riskJSON{}}
	for _, risk := range r.Lights {
		out.Lights = append(out.Lights, riskJSON{risk.Light, num(risk.Median), num(risk.High), num(risk.Breaks)})
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
		Why: nonNil(r.Why), GrainAngle: num(r.Along), LeftOut: num(r.Left), Warnings: warningsOf(r.Warnings),
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
