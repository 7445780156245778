package schedule

import (
	"fmt"
	"math"
	"slices"
	"time"

	"huewright/blend"
)

// A Bench says when somebody works, and in what air.
type Bench struct {
	Start  time.Time     // of the first coat, at the earliest; its location is the bench's
	Opens  time.Duration // after midnight; both 0 means from 8 to 20
	Closes time.Duration
	Room   Room
}

// A Task is what one area gets, the undermost first, and the clear coats that all areas get last.
type Task struct {
	Area  string
	Coats []Coat
}

// A Coat is one coat of an area.
type Coat struct {
	Coating *blend.Coating
	Label   Label
	Look    bool   // stop and look before it
	Between string // what is to be done before it, where there is something
}

// A Step is one coat with its time.
type Step struct {
	At       time.Time
	Earliest time.Time // zero for the first
	Latest   time.Time // zero where there is no end
	Areas    []string
	Coating  string
	Coat     int  // number of it on these areas, from 1
	Clear    bool // a clear coat over all
	Look     bool // stop and look first
	Do       []string
	Wait     string // where the time before it comes from
	Assumed  bool   // nothing is known of that time: a night is assumed
}

// A Timetable is when each coat goes on.
type Timetable struct {
	Steps    []Step
	Ready    time.Time // when the last coat may be touched with care; zero where there is no step
	Days     int       // calendar days from the first step to Ready
	Warnings []string
}

// night is what is waited where nothing is known: until the next day.
const night = 12 * time.Hour

// slot is how finely steps are laid out.
const slot = 15 * time.Minute

// horizon is how long a step is looked for.
const horizon = 21 * 24 * time.Hour

// LayOut lays the coats of all areas out in time, each as early as it may be, and the clear coats
// after them. No step is earlier than its earliest nor later than its latest; where that cannot be,
// a warning says so, and that step and those after it are left out.
func LayOut(tasks []Task, clear []Coat, bench Bench) Timetable {
	if bench.Opens == 0 && bench.Closes == 0 {
		bench.Opens, bench.Closes = 8*time.Hour, 20*time.Hour
	}
	var t Timetable
	last := map[string]laidAt{} // by area
	for i := range tasks {
		steps, err := bench.chain(tasks[i].Area, tasks[i].Coats, laidAt{}, &t)
		if err != nil {
			t.warn(err.Error())
			return t
		}
		for _, s := range steps {
			t.merge(s)
		}
		if n := len(steps); n > 0 {
			last[tasks[i].Area] = laidAt{steps[n-1].At, tasks[i].Coats[n-1].Coating, tasks[i].Coats[n-1].Label}
		}
	}
	t.sort()
	if len(clear) > 0 {
		if !t.clear(tasks, clear, last, &bench) {
			return t
		}
	}
	t.finish(tasks, clear, last, &bench)
	return t
}

// laidAt is a coat that was laid, and when.
type laidAt struct {
	at      time.Time
	coating *blend.Coating
	label   Label
}

// window is when the next coat may follow.
func (l laidAt) window(next *Coat, b *Bench) (earliest, latest time.Time, d drying, assumed bool) {
	if l.coating == nil {
		return b.Start, time.Time{}, drying{}, false
	}
	d = dryingOf(l.coating, next.Coating, l.label, b.Room)
	wait := d.after
	if !d.known() {
		wait, assumed = night, true
		d.source = "no figure for it: until the next day is assumed; its label says"
	}
	earliest = l.at.Add(wait)
	if d.before > 0 {
		latest = l.at.Add(d.before)
	}
	return earliest, latest, d, assumed
}

// chain lays out the coats of one area, each as early as leaves room for those after it.
func (b *Bench) chain(area string, coats []Coat, under laidAt, t *Timetable) ([]Step, error) {
	steps := make([]Step, len(coats))
	var lay func(i int, under laidAt) bool
	tried := 0
	lay = func(i int, under laidAt) bool {
		if i == len(coats) {
			return true
		}
		c := &coats[i]
		earliest, latest, d, assumed := under.window(c, b)
		from := b.open(earliest)
		for at := from; at.Sub(from) < horizon && (latest.IsZero() || !at.After(latest)); at = b.open(at.Add(slot)) {
			if tried++; tried > 20_000 {
				return false
			}
			s := Step{At: at, Latest: latest, Areas: []string{area}, Coating: c.Coating.Name, Look: c.Look, Wait: d.source, Assumed: assumed}
			if under.coating != nil {
				s.Earliest = earliest
			}
			if c.Between != "" {
				s.Do = append(s.Do, c.Between)
			}
			s.Coat = 1
			if i > 0 && steps[i-1].Coating == s.Coating {
				s.Coat = steps[i-1].Coat + 1
			}
			steps[i] = s
			if lay(i+1, laidAt{at, c.Coating, c.Label}) {
				return true
			}
			if coats[i].Label.Before == 0 {
				return false // later is no better for what comes after
			}
		}
		return false
	}
	for i := range coats {
		if l := coats[i].Label; l.Before > 0 && l.Before < l.After {
			return nil, fmt.Errorf("%s is said to take its next coat not before %s and not after %s: look at its label again", coats[i].Coating.Name, hours(l.After), hours(l.Before))
		}
		d := dryingOf(coats[i].Coating, nil, coats[i].Label, b.Room)
		for _, w := range d.complaints(coats[i].Coating.Name, b.Room) {
			t.warn(w)
		}
	}
	if !lay(0, under) {
		return nil, fmt.Errorf("the coats on %s cannot be laid within their times in these working hours: a coat's latest comes before the bench opens again; work longer on one day, or begin at another hour", area)
	}
	return steps, nil
}

func hours(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%.0f min", d.Minutes())
	}
	return fmt.Sprintf("%g h", math.Round(10*d.Hours())/10)
}

// open is the first moment at or after at when the bench is open, on the clock on its wall.
func (b *Bench) open(at time.Time) time.Time {
	if up := at.Truncate(slot); !up.Equal(at) {
		at = up.Add(slot)
	}
	at = at.In(b.Start.Location())
	wall := func(day int, since time.Duration) time.Time {
		return time.Date(at.Year(), at.Month(), at.Day()+day, 0, int(since.Minutes()), 0, 0, at.Location())
	}
	switch {
	case at.Before(wall(0, b.Opens)):
		return wall(0, b.Opens)
	case at.After(wall(0, b.Closes)):
		return wall(1, b.Opens)
	}
	return at
}

// merge puts a step with others that are alike at the same time.
func (t *Timetable) merge(s Step) {
	for i := range t.Steps {
		o := &t.Steps[i]
		if o.At.Equal(s.At) && o.Coating == s.Coating && o.Coat == s.Coat && o.Look == s.Look && o.Earliest.Equal(s.Earliest) && o.Latest.Equal(s.Latest) && slices.Equal(o.Do, s.Do) {
			o.Areas = append(o.Areas, s.Areas...)
			return
		}
	}
	t.Steps = append(t.Steps, s)
}

func (t *Timetable) sort() {
	slices.SortStableFunc(t.Steps, func(a, b Step) int { return a.At.Compare(b.At) })
}

func (t *Timetable) warn(w string) {
	if !slices.Contains(t.Warnings, w) {
		t.Warnings = append(t.Warnings, w)
	}
}

// betweenClear is what is done between clear coats. Common practice, no source.
const betweenClear = "rub down lightly with 320 paper or a synthetic pad, take the dust off"

// clear lays the clear coats over all areas, when the last of them may take it.
func (t *Timetable) clear(tasks []Task, coats []Coat, last map[string]laidAt, b *Bench) bool {
	first := Step{At: b.Start, Coating: coats[0].Coating.Name, Coat: 1, Clear: true}
	var latest time.Time
	for _, task := range tasks {
		first.Areas = append(first.Areas, task.Area)
		l, there := last[task.Area]
		if !there {
			continue
		}
		from, to, d, assumed := l.window(&coats[0], b)
		if from.After(first.Earliest) {
			first.Earliest, first.Wait, first.Assumed = from, d.source, assumed
		}
		if !to.IsZero() && (latest.IsZero() || to.Before(latest)) {
			latest = to
		}
	}
	if first.Earliest.After(first.At) {
		first.At = first.Earliest
	}
	first.At, first.Latest = b.open(first.At), latest
	if !latest.IsZero() && first.At.After(latest) {
		t.warn(fmt.Sprintf("%s cannot go over all areas within their times: the last coat of one is past its latest when that of another is dry; end the coats of all on one day", first.Coating))
		return false
	}
	t.Steps = append(t.Steps, first)
	rest, err := b.chain("all", coats[1:], laidAt{first.At, coats[0].Coating, coats[0].Label}, t)
	if err != nil {
		t.warn(err.Error())
		return false
	}
	for _, w := range func() []string {
		d := dryingOf(coats[0].Coating, nil, coats[0].Label, b.Room)
		return d.complaints(coats[0].Coating.Name, b.Room)
	}() {
		t.warn(w)
	}
	for i, s := range rest {
		s.Clear, s.Coat, s.Areas, s.Do = true, i+2, first.Areas, append(s.Do, betweenClear)
		t.Steps = append(t.Steps, s)
	}
	return true
}

// finish says when the last coat is dry.
func (t *Timetable) finish(tasks []Task, clear []Coat, last map[string]laidAt, b *Bench) {
	if len(t.Steps) == 0 {
		return
	}
	end := func(l laidAt) {
		ready, _, _, _ := l.window(&Coat{Coating: l.coating}, b)
		if ready.After(t.Ready) {
			t.Ready = ready
		}
	}
	if n := len(clear); n > 0 {
		end(laidAt{t.Steps[len(t.Steps)-1].At, clear[n-1].Coating, clear[n-1].Label})
	} else {
		for _, task := range tasks {
			if l, there := last[task.Area]; there {
				end(l)
			}
		}
	}
	day := func(at time.Time) time.Time { return time.Date(at.Year(), at.Month(), at.Day(), 12, 0, 0, 0, time.UTC) }
	t.Days = 1 + int(math.Round(day(t.Ready.In(b.Start.Location())).Sub(day(t.Steps[0].At)).Hours()/24))
}
