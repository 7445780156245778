package report

import (
	"fmt"
	"io"
	"strings"
	"time"

	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// stepWords say what is done at a step: "coat 2 of brown wash on frame, panel".
func stepWords(s *schedule.Step) string {
	if s.Clear {
		return fmt.Sprintf("coat %d of %s over all", s.Coat, s.Coating)
	}
	return fmt.Sprintf("coat %d of %s on %s", s.Coat, s.Coating, strings.Join(s.Areas, ", "))
}

// windowWords say between when a step must be done.
func windowWords(s *schedule.Step, zone *time.Location) string {
	at := func(t time.Time) string { return t.In(zone).Format("Mon 2 Jan 15:04") }
	switch {
	case s.Earliest.IsZero() && s.Latest.IsZero():
		return ""
	case s.Latest.IsZero():
		return "not before " + at(s.Earliest)
	case s.Earliest.IsZero():
		return "not after " + at(s.Latest)
	}
	return "not before " + at(s.Earliest) + ", not after " + at(s.Latest)
}

// TimetableText writes when each coat goes on, and what to be careful of.
func (s Style) TimetableText(w io.Writer, r *workshop.Schedule) error {
	p := page{Style: s}
	zone := r.Bench.Start.Location()
	if len(r.Steps) == 0 {
		p.line("  no coats to lay")
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
		p.wrapped("    [ ] "+step.At.In(zone).Format("15:04")+"  ", stepWords(step))
		const rest = "               "
		if step.Inspect {
			p.wrapped(rest, "stop and look first: photograph it, and plan again")
		}
		for _, do := range step.Do {
			p.wrapped(rest, "first: "+do)
		}
		if window := windowWords(step, zone); window != "" {
			p.wrapped(rest, window+" ("+step.WaitSource+")")
		}
	}
	if !r.Ready.IsZero() {
		p.line("")
		p.wrapped("  ", fmt.Sprintf("dry enough to touch with care on %s; %s in all. Cured is later: see "+
			"the label", r.Ready.In(zone).Format("Monday, 2 January, 15:04"), howMany(r.Days, "day", "days")))
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

func (p *page) cautions(all []schedule.Caution) {
	p.wrapped("  ", schedule.LabelFirst)
	for _, c := range all {
		if c.Matters {
			p.wrapped("  ! ", c.Key+": "+c.Danger+" "+c.Do)
		}
	}
	p.line("")
	p.wrapped("  ", "not for this piece, as far as is known; look again if that changes:")
	for _, c := range all {
		if !c.Matters {
			p.wrapped("  - ", c.Key+": "+c.Danger+" "+c.Do)
		}
	}
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
	out := []cautionJSON{}
	for _, c := range all {
		out = append(out, cautionJSON{c.Key, c.Matters, c.At, c.Danger, c.Do})
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
			t.At, timeOrNull(t.Earliest), timeOrNull(t.Latest), t.Areas, t.Coating, t.Coat, t.Clear, t.Inspect, nonNil(t.Do), t.WaitSource,
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
	}{version, steps, timeOrNull(s.Ready), s.Days, warningsOf(s.Fit), warningsOf(s.Warnings), schedule.LabelFirst, cautionsOf(s.Cautions)})
}
