package report

import (
	"io"
	"time"

	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// stepWords say what is done at a step.
func (s Style) stepWords(t *schedule.Step) string {
	if t.Clear {
		return s.say("timetable.clear", "coat", t.Coat, "coating", t.Coating)
	}
	return s.say("timetable.coat", "coat", t.Coat, "coating", t.Coating, "areas", t.Areas)
}

// beforeStep says what is done before a step.
func (s Style) beforeStep(t *schedule.Step) (all []string) {
	if t.Inspect {
		all = append(all, s.say("timetable.stop"))
	}
	for _, do := range t.Do {
		all = append(all, s.say("timetable.first", "do", do))
	}
	return all
}

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
	p := page{Style: s}
	zone := r.Bench.Start.Location()
	if len(r.Steps) == 0 {
		p.wrapped("  ", p.say("timetable.nothing"))
	}
	day := ""
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
		for _, text := range append(p.beforeStep(step), p.windowWords(step, zone)) {
			p.wrapped(rest, text)
		}
	}
	if !r.Ready.IsZero() {
		p.line("")
		p.wrapped("  ", p.say("timetable.ready", "at", r.Ready.In(zone).Format("Monday, 2 January, 15:04"), "days", r.Days))
	}
	for _, warnings := range [][]fault.Note{r.Fit, r.Warnings} {
		if len(warnings) > 0 {
			p.line("")
			p.warnings("  ", warnings)
		}
	}
	p.line("")
	p.cautions(r.Cautions)
	return p.writeTo(w)
}

// cautions writes those that stand, the danger first, and with Full the others too.
func (p *page) cautions(all []schedule.Caution) {
	p.wrapped("  ", p.say(schedule.LabelFirst))
	others := 0
	for _, c := range all {
		if c.Matters {
			p.wrapped("  ! ", p.caution(&c))
		} else {
			others++
		}
	}
	if others == 0 || !p.Full {
		return
	}
	p.line("")
	p.wrapped("  ", p.say("timetable.other-cautions"))
	for _, c := range all {
		if !c.Matters {
			p.wrapped("  - ", p.caution(&c))
		}
	}
}

// caution says a caution, its danger first.
func (s Style) caution(c *schedule.Caution) string {
	return sentences(s.Say(c.Danger), s.Hint(c.Danger))
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
	First    []string   `json:"first"`
	Wait     string     `json:"wait"`
	Assumed  bool       `json:"assumed"`
}

type cautionJSON struct {
	Key     string `json:"key"`
	Matters bool   `json:"matters"`
	At      string `json:"at"`
	Danger  string `json:"danger"`
	Do      string `json:"do"`
}

func cautionsOf(all []schedule.Caution) []cautionJSON {
	out, says := []cautionJSON{}, words.Speaker{}
	for _, c := range all {
		out = append(out, cautionJSON{c.Key, c.Matters, c.At, says.Say(c.Danger), says.Hint(c.Danger)})
	}
	return out
}

func timeOrNull(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// TimetableJSON writes the same as JSON.
func TimetableJSON(w io.Writer, s *workshop.Schedule) error {
	steps := []timedStepJSON{}
	for _, t := range s.Steps {
		steps = append(steps, timedStepJSON{
			t.At, timeOrNull(t.Earliest), timeOrNull(t.Latest), t.Areas, t.Coating, t.Coat, t.Clear, t.Inspect, warningsOf(t.Do), words.Speaker{}.Say(t.WaitSource),
			t.Assumed,
		})
	}
	return writeJSON(w, struct {
		Version  int             `json:"version"`
		Steps    []timedStepJSON `json:"steps"`
		Ready    *time.Time      `json:"ready"`
		Days     int             `json:"days"`
		Layers   []string        `json:"layers"`
		Warnings []string        `json:"warnings"`
		Label    string          `json:"label_first"`
		Cautions []cautionJSON   `json:"cautions"`
	}{Version, steps, timeOrNull(s.Ready), s.Days, warningsOf(s.Fit), warningsOf(s.Warnings), Style{}.say(schedule.LabelFirst), cautionsOf(s.Cautions)})
}
