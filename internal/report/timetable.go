package report

import (
	"io"
	"slices"
	"time"

	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// workWords say what is done in each kind of work.
var workWords = map[schedule.Work]fault.Code{
	schedule.Clean: "timetable.clean", schedule.LeadTest: "timetable.lead-test", schedule.BleedTest: "timetable.bleed-test",
	schedule.RaiseGrain: "timetable.raise-grain", schedule.Repair: "timetable.repair", schedule.Sand: "timetable.sand",
	schedule.ScuffOld: "timetable.scuff-old", schedule.TouchUp: "timetable.touch-up", schedule.TestSpot: "timetable.test-spot",
	schedule.Stop: "timetable.stop-at", schedule.Scuff: "timetable.scuff",
	schedule.LayCoat: "timetable.coat", schedule.SealCoat: "timetable.seal", schedule.Cure: "timetable.cure",
}

// stepWords say what is done at a step.
func (s Style) stepWords(t *schedule.Step) string {
	code := workWords[t.Work]
	switch {
	case t.Work == schedule.LayCoat && t.Clear:
		code = "timetable.clear"
	case t.Work == schedule.Scuff && t.Clear && t.Coat > 1:
		code = "timetable.scuff-clear"
	}
	return s.say(code, "coat", t.Coat, "coating", t.Coating, "areas", t.Areas, "grit", t.Grit)
}

// whyWords say in a few words why a step is done.
func (s Style) whyWords(t *schedule.Step) string { return s.Say(t.Why) }

// windowWords say between when a step must be done.
func (s Style) windowWords(t *schedule.Step, zone *time.Location) string {
	at := func(t time.Time) string { return t.In(zone).Format("Mon 2 Jan 15:04") }
	switch {
	case t.Earliest.IsZero() && t.Latest.IsZero():
		return ""
	case t.Latest.IsZero():
		return s.say("timetable.not-before", "earliest", at(t.Earliest), "source", t.WaitSource)
	case t.Earliest.IsZero():
		return s.say("timetable.not-after", "latest", at(t.Latest), "source", t.WaitSource)
	}
	return s.say("timetable.between", "earliest", at(t.Earliest), "latest", at(t.Latest), "source", t.WaitSource)
}

// TimetableText writes when each coat goes on, and what to be careful of.
func (s Style) TimetableText(w io.Writer, r *workshop.Schedule) error {
	if s.Quiet {
		return s.quietTimetable(w, r)
	}
	p := page{Style: s}
	zone := r.Bench.Start.Location()
	if len(r.Steps) == 0 {
		p.wrapped("  ", p.say("timetable.nothing"))
	}
	day, said := "", map[string]bool{}
	for i := range r.Steps {
		step := &r.Steps[i]
		if today := step.At.In(zone).Format("Monday, 2 January"); today != day {
			if day != "" {
				p.line("")
			}
			day = today
			p.line("  %s", day)
		}
		p.wrapped("    [ ] "+step.At.In(zone).Format("15:04")+"  ", p.stepWords(step))
		rest := "               "
		if p.width() < 60 {
			rest = "        "
		}
		if why := p.whyWords(step); p.Full || !said[why] {
			p.wrapped(rest, why)
			said[why] = true // once is enough
		}
		if step.Work.Coats() {
			p.wrapped(rest, p.windowWords(step, zone))
		}
		if p.Full {
			p.wrapped(rest, p.stepCautions(step, r.Cautions))
		}
	}
	if !r.Ready.IsZero() {
		p.line("")
		p.wrapped("  ", p.say("timetable.ready", "at", r.Ready.In(zone).Format("Monday, 2 January, 15:04"), "days", r.Days))
	}
	if len(r.Warnings) > 0 {
		p.line("")
		p.warnings("  ", r.Warnings)
	}
	p.line("")
	p.cautions(r.Cautions)
	return p.writeTo(w)
}

// stepCautions names the cautions that matter most at a step.
func (s Style) stepCautions(t *schedule.Step, all []schedule.Caution) string {
	if keys := keysOf(schedule.MattersMost(t.Work, all)); len(keys) > 0 {
		return s.say("timetable.careful", "dangers", keys)
	}
	return ""
}

func keysOf(all []schedule.Caution) (keys []string) {
	for i := range all {
		keys = append(keys, all[i].Key)
	}
	return keys
}

// cautions writes those that matter most, the danger first, and with Full all others too.
func (p *page) cautions(all []schedule.Caution) {
	p.wrapped("  ", p.say(schedule.LabelFirst))
	most := schedule.MattersMost("", all)
	if p.Full {
		most = slices.DeleteFunc(slices.Clone(all), func(c schedule.Caution) bool { return !c.Matters })
	}
	for i := range most {
		p.wrapped("  ! ", p.caution(&most[i]))
	}
	var more, others []schedule.Caution
	for i, c := range all {
		switch {
		case !c.Matters:
			others = append(others, c)
		case i >= len(most):
			more = append(more, c)
		}
	}
	if len(more) > 0 {
		p.wrapped("  ", p.say("timetable.more-cautions", "dangers", keysOf(more)))
	}
	if len(others) == 0 || !p.Full {
		return
	}
	p.line("")
	p.wrapped("  ", p.say("timetable.other-cautions"))
	for i := range others {
		p.wrapped("  - ", p.caution(&others[i]))
	}
}

// caution says a caution, its danger first.
func (s Style) caution(c *schedule.Caution) string {
	return sentences(s.Say(c.Danger), s.Hint(c.Danger))
}

// CoatCaution is the caution that matters most while a coat is laid, in its own circumstance: its danger in a word or two, and what to
// do. Both are "" for none.
func (s Style) CoatCaution(laying schedule.Circumstance) (danger, says string) {
	most := schedule.MattersMost(schedule.LayCoat, schedule.Cautions(laying))
	if len(most) == 0 {
		return "", ""
	}
	return most[0].Key, s.caution(&most[0])
}

type timedStepJSON struct {
	At       time.Time  `json:"at"`
	Earliest *time.Time `json:"earliest"`
	Latest   *time.Time `json:"latest"`
	Areas    []string   `json:"areas"`
	Coating  string     `json:"coating"`
	Coat     int        `json:"coat"`
	Clear    bool       `json:"clear"`
	Look     bool       `json:"stop_and_look"`
	Work     string     `json:"work"`
	What     string     `json:"what"`
	Why      string     `json:"why"`
	Minutes  int        `json:"minutes"`
	Grit     int        `json:"grit,omitempty"`
	Careful  []string   `json:"cautions"`
	Wait     string     `json:"wait"`
	Assumed  bool       `json:"assumed"`
}

type cautionJSON struct {
	Key     string          `json:"key"`
	Matters bool            `json:"matters"`
	At      string          `json:"at"`
	Steps   []schedule.Work `json:"steps"`
	Danger  string          `json:"danger"`
	Do      string          `json:"do"`
}

func cautionsOf(all []schedule.Caution) []cautionJSON {
	out, says := []cautionJSON{}, words.Speaker{}
	for _, c := range all {
		out = append(out, cautionJSON{c.Key, c.Matters, c.At, c.Works, says.Say(c.Danger), says.Hint(c.Danger)})
	}
	return out
}

func timeOrNull(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

type timetableJSON struct {
	Version  int             `json:"version"`
	Steps    []timedStepJSON `json:"steps"`
	Ready    *time.Time      `json:"ready"`
	Days     int             `json:"days"`
	Layers   []string        `json:"layers"`
	Warnings []string        `json:"warnings"`
	Label    string          `json:"label_first"`
	Cautions []cautionJSON   `json:"cautions"`
}

// TimetableJSON writes the same as JSON.
func TimetableJSON(w io.Writer, s *workshop.Schedule) error {
	steps := []timedStepJSON{}
	var says Style
	for i := range s.Steps {
		t := &s.Steps[i]
		areas, careful := append([]string{}, t.Areas...), append([]string{}, keysOf(schedule.MattersMost(t.Work, s.Cautions))...)
		steps = append(steps, timedStepJSON{
			t.At, timeOrNull(t.Earliest), timeOrNull(t.Latest), areas, t.Coating, t.Coat, t.Clear, t.Inspect, string(t.Work), says.stepWords(t),
			says.whyWords(t), int(t.Takes.Minutes()), t.Grit, careful, says.Say(t.WaitSource), t.Assumed,
		})
	}
	return writeJSON(w, timetableJSON{Version, steps, timeOrNull(s.Ready), s.Days, warningsOf(s.Fit), warningsOf(s.Warnings),
		Style{}.say(schedule.LabelFirst), cautionsOf(s.Cautions)})
}
