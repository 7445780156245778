package schedule

import (
	"math"
	"slices"
	"time"

	"huewright/internal/fault"
)

// A Task is what one area gets, the undermost first, without the clear coats that all areas get last.
type Task struct {
	Area  string
	Coats []Coat
}

// A Timetable is when each coat goes on.
type Timetable struct {
	Steps    []Step
	Ready    time.Time // when the last coat may be touched with care; zero where there is no step
	Days     int       // calendar days from the first step to Ready
	Warnings []fault.Note
}

// LayOut lays the coats of all areas out in time, each as early as it may be, and the clear coats
// after them. No step is earlier than its earliest nor later than its latest; where that cannot be,
// a warning says so, and that step and those after it are left out.
func LayOut(tasks []Task, clear []Coat, bench Bench) Timetable {
	if bench.Opens == 0 && bench.Closes == 0 {
		bench.Opens, bench.Closes = 8*time.Hour, 20*time.Hour
	}
	var t Timetable
	last := map[string]laidCoat{} // by area
	for _, task := range tasks {
		steps, ok := t.lay(&bench, task.Area, task.Coats, laidCoat{})
		if !ok {
			return t
		}
		for _, s := range steps {
			t.merge(s)
		}
		if n := len(steps); n > 0 {
			last[task.Area] = laidCoat{steps[n-1].At, task.Coats[n-1].Coating, task.Coats[n-1].Label}
		}
	}
	slices.SortStableFunc(t.Steps, func(a, b Step) int { return a.At.Compare(b.At) })
	if len(clear) > 0 && !t.layClear(tasks, clear, last, &bench) {
		return t
	}
	t.finish(tasks, clear, last, &bench)
	return t
}

// lay returns the steps of one area's coats, or warns why there are none.
func (t *Timetable) lay(b *Bench, area string, coats []Coat, under laidCoat) (steps []Step, ok bool) {
	steps, complaints, err := b.layCoats(area, coats, under)
	t.warn(complaints...)
	if err != nil {
		t.warn(fault.Of(err).Note)
	}
	return steps, err == nil
}

// merge adds a step, or its area to a step that is otherwise equal.
func (t *Timetable) merge(s Step) {
	for i := range t.Steps {
		o := &t.Steps[i]
		if o.At.Equal(s.At) && o.Coating == s.Coating && o.Coat == s.Coat && o.Inspect == s.Inspect &&
			o.Earliest.Equal(s.Earliest) && o.Latest.Equal(s.Latest) && slices.EqualFunc(o.Do, s.Do, fault.Note.Equal) {
			o.Areas = append(o.Areas, s.Areas...)
			return
		}
	}
	t.Steps = append(t.Steps, s)
}

// warn adds those warnings that are not there yet.
func (t *Timetable) warn(warnings ...fault.Note) {
	for _, w := range warnings {
		if !slices.ContainsFunc(t.Warnings, w.Equal) {
			t.Warnings = append(t.Warnings, w)
		}
	}
}

// betweenClear is what is done between clear coats. Common practice, no source.
var betweenClear = fault.Say("schedule.between-clear", "grit", 320)

// layClear lays the clear coats over all areas, from when all of them may take the first, and reports whether it could.
func (t *Timetable) layClear(tasks []Task, coats []Coat, last map[string]laidCoat, b *Bench) bool {
	first := Step{At: b.Start, Coating: coats[0].Coating.Name, Coat: 1, Clear: true}
	for _, task := range tasks {
		first.Areas = append(first.Areas, task.Area)
		l, laid := last[task.Area]
		if !laid {
			continue
		}
		w := l.next(coats[0].Coating, b)
		if w.earliest.After(first.Earliest) {
			first.Earliest, first.WaitSource, first.Assumed = w.earliest, w.source, w.assumed
		}
		if !w.latest.IsZero() && (first.Latest.IsZero() || w.latest.Before(first.Latest)) {
			first.Latest = w.latest
		}
	}
	if first.Earliest.After(first.At) {
		first.At = first.Earliest
	}
	first.At = b.open(first.At)
	if !first.Latest.IsZero() && first.At.After(first.Latest) {
		t.warn(fault.Say("schedule.no-common-time", "coating", first.Coating))
		return false
	}
	t.Steps = append(t.Steps, first)
	rest, ok := t.lay(b, "all", coats[1:], laidCoat{first.At, coats[0].Coating, coats[0].Label})
	if !ok {
		return false
	}
	t.warn(b.complaints(&coats[0])...)
	for i, s := range rest {
		s.Clear, s.Coat, s.Areas, s.Do = true, i+2, first.Areas, append(s.Do, betweenClear)
		t.Steps = append(t.Steps, s)
	}
	return true
}

// finish fills in when the last coat is dry.
func (t *Timetable) finish(tasks []Task, clear []Coat, last map[string]laidCoat, b *Bench) {
	if len(t.Steps) == 0 {
		return
	}
	end := func(l laidCoat) {
		if ready := l.next(l.coating, b).earliest; ready.After(t.Ready) {
			t.Ready = ready
		}
	}
	if n := len(clear); n > 0 {
		end(laidCoat{t.Steps[len(t.Steps)-1].At, clear[n-1].Coating, clear[n-1].Label})
	} else {
		for _, task := range tasks {
			if l, laid := last[task.Area]; laid {
				end(l)
			}
		}
	}
	day := func(at time.Time) time.Time { return time.Date(at.Year(), at.Month(), at.Day(), 12, 0, 0, 0, time.UTC) }
	t.Days = 1 + int(math.Round(day(t.Ready.In(b.Start.Location())).Sub(day(t.Steps[0].At)).Hours()/24))
}
