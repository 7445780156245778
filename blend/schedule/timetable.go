package schedule

import (
	"math"
	"slices"
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Work is what is done at a step.
type Work string

// The works, in the order in which they come.
const (
	Clean      Work = "clean"
	LeadTest   Work = "lead-test"
	BleedTest  Work = "bleed-test"
	RaiseGrain Work = "raise-grain"
	Repair     Work = "repair"
	Sand       Work = "sand"
	ScuffOld   Work = "scuff-old" // what is there already
	TouchUp    Work = "touch-up"  // of a spot, before the coats
	TestSpot   Work = "test-spot"
	Stop       Work = "stop"
	Scuff      Work = "scuff" // between coats
	LayCoat    Work = "coat"
	SealCoat   Work = "seal" // the barrier between two coatings
	Cure       Work = "cure"
)

// Coats reports whether something is laid on the piece.
func (w Work) Coats() bool { return w == LayCoat || w == SealCoat }

// A Step is one thing to do, on one or more areas, with its time.
type Step struct {
	At         time.Time
	Work       Work
	Takes      time.Duration // about
	Earliest   time.Time     // zero where nothing has to dry first
	Latest     time.Time     // zero where there is no end
	Areas      []string
	Coating    string
	Coat       int        // number of it on these areas, from 1
	Clear      bool       // a clear coat over all, or the work before one
	Inspect    bool       // a coat before which to stop and look
	Grit       int        // to sand with; 0 not at all
	Why        fault.Note // in a few words; may be empty
	WaitSource fault.Note // where the time before it comes from
	Assumed    bool       // nothing is known of that time: a night is assumed
	Does       []Practice // ways of working that a caution may forbid
}

// A Task is what one area gets, the undermost first, without the clear coats that all areas get last.
type Task struct {
	Area    string
	Surface blend.Surface  // "" is not known
	Under   *blend.Coating // what lies on it of the new finish; nil for nothing yet
	Laid    int            // coats of Under that lie there uppermost: those to come are counted on from them
	TouchUp *blend.Coating // what a spot is touched up with before its coats; nil for nothing
	Coats   []Coat
}

// A Job is all that a timetable is made from.
type Job struct {
	Tasks []Task
	Clear []Coat // over all areas; of kind Clear
	Bench Bench
	Piece Circumstance
	// Prepared leaves out all work before the first coat.
	Prepared bool
}

// A Timetable is when each step is done.
type Timetable struct {
	Steps    []Step
	Ready    time.Time    // when the last coat may be touched with care; zero where not all can be laid
	Days     int          // calendar days from the first step to Ready
	Fit      []fault.Note // what parts coatings that must not touch, and why; the steps that do so say it too
	Warnings []fault.Note
	Used     []*blend.Coating // all coatings that are laid, barriers too
	Known    Circumstance     // the job's, with all that is used on it
}

// coatTakes is how long somebody has to keep free for a coat. Our own choice.
const coatTakes = 30 * time.Minute

// LayOut lays all work out in time: what comes before the first coat, the coats of each area with what parts them, each as
// early as it may be, the clear coats after them, and the cure.
//
// No step is earlier than its earliest nor later than its latest, in air that it does not bear, or against the rules of the
// layers; where that cannot be, a warning says so and what would help, and that step and those after it are left out.
func LayOut(j Job) Timetable {
	t := layOut(&j)
	t.Known = j.Piece
	for _, k := range t.Used {
		t.Known.Use(k)
	}
	for _, task := range j.Tasks {
		t.Known.Filled = t.Known.Filled || task.Surface == blend.NonAbsorbing || task.Surface == blend.Porous
	}
	return t
}

func layOut(j *Job) Timetable {
	b := j.Bench
	if b.Opens == 0 && b.Closes == 0 {
		b.Opens, b.Closes = 8*time.Hour, 20*time.Hour
	}
	var t Timetable
	clear, whole := t.clearCoats(j, &b)
	tasks := slices.Clone(j.Tasks)
	for i := range tasks {
		var all bool
		tasks[i].Coats, all = t.arrange(&tasks[i], clear, &b)
		whole = whole && all
	}
	if !j.Prepared {
		b.Start = t.prepare(tasks, clear, j, &b)
	}
	last := map[string]laidCoat{} // by area
	for _, task := range tasks {
		steps, ok := t.lay(&b, task.Area, task.Coats, laidCoat{})
		task.countOn(steps)
		if !ok {
			whole = false
			continue
		}
		for _, s := range steps {
			t.merge(s)
		}
		if n := len(steps); n > 0 {
			top := &task.Coats[len(task.Coats)-1]
			last[task.Area] = laidCoat{steps[n-1].At, top.Coating, top.Label}
		}
	}
	t.sort()
	if !whole || len(clear) > 0 && !t.layClear(tasks, clear, last, &b) {
		return t
	}
	t.finish(clear, last, &b)
	return t
}

func (t *Timetable) sort() {
	slices.SortStableFunc(t.Steps, func(a, b Step) int { return a.At.Compare(b.At) })
}

// clearCoats returns the clear coats that the room bears, and whether that is all of them.
func (t *Timetable) clearCoats(j *Job, b *Bench) (clear []Coat, all bool) {
	for i, c := range j.Clear {
		if !t.bears(&c, b) {
			return clear, false
		}
		if i > 0 {
			c.scuff = scuffBefore(j.Clear[i-1].Coating, c.Coating)
		}
		clear = append(clear, c)
	}
	return clear, true
}

// bears reports whether a coat dries in the room, and warns where it does not.
func (t *Timetable) bears(c *Coat, b *Bench) bool {
	d := dryingOf(c.Coating, nil, c.Label, b.Room)
	complaints := d.complaints(c.Coating.Name, b.Room)
	t.warn(complaints...)
	if len(complaints) == 0 {
		t.Used = append(t.Used, c.Coating)
	}
	return len(complaints) == 0
}

// arrange returns the coats of a task with the barriers that they need, that under the clear coats too, up to the first that
// may not be laid, and whether that is all of them.
func (t *Timetable) arrange(task *Task, clear []Coat, b *Bench) (coats []Coat, all bool) {
	under, alike := task.Under, task.Laid
	if under == nil {
		under = task.TouchUp
	}
	place := fault.Place{Area: task.Area}
	add := func(c Coat) bool {
		if under == nil {
			if ok, why := c.Coating.TakesOn(task.Surface); !ok && c.Coating.Kind != Clear {
				t.warn(why.In(place))
				return false
			}
			if !t.bears(&c, b) {
				return false
			}
			coats, under, alike = append(coats, c), c.Coating, 1
			return true
		}
		if barrier, why := blend.Barrier(under, c.Coating); barrier != nil {
			t.Fit = fault.Once(append(t.Fit, why))
			between := Coat{
				Coating: barrier, barrier: true, why: fault.Say("timetable.why-seal", "under", under.Name, "over", c.Coating.Name),
				Inspect: c.Inspect,
			}
			c.Inspect = false // what is looked at is the colour without the barrier
			if !t.bears(&between, b) {
				return false
			}
			coats, under = append(coats, between), barrier
		} else if ok, why := blend.MayLie(under, c.Coating); !ok {
			t.warn(why)
			return false
		}
		if c.Coating.Kind == Clear {
			return true // laid over all areas at once, later
		}
		if under.Name == c.Coating.Name {
			alike++
		} else {
			alike = 1
		}
		if most := c.Coating.Kind.MostCoats(); most > 0 && alike > most {
			t.warn(fault.Say("layer.full", "over", c.Coating.Name, "most", most).In(place))
			return true // what is too much is left out, and the rest goes on
		}
		if !t.bears(&c, b) {
			return false
		}
		c.scuff = scuffBefore(under, c.Coating)
		coats, under = append(coats, c), c.Coating
		return true
	}
	if touch := task.TouchUp; touch != nil && task.Under == nil && !t.bears(&Coat{Coating: touch}, b) {
		return nil, false
	}
	for _, c := range task.Coats {
		if !add(c) {
			return coats, false
		}
	}
	if len(clear) > 0 && under != nil && !add(clear[0]) {
		return coats, false
	}
	return coats, true
}

// lay returns the steps of one area's coats, or warns why there are none.
func (t *Timetable) lay(b *Bench, area string, coats []Coat, under laidCoat) (steps []Step, ok bool) {
	steps, err := b.layCoats(area, coats, under)
	if err != nil {
		t.warn(fault.Of(err).Note)
	}
	return steps, err == nil
}

// countOn counts the first coats on from those of their coating that lie there already.
func (task *Task) countOn(steps []Step) {
	if task.Under == nil {
		return
	}
	for i := range steps {
		if steps[i].Coating != task.Under.Name {
			return
		}
		steps[i].Coat += task.Laid
	}
}

// merge adds a step, or its area to a step that is otherwise equal.
func (t *Timetable) merge(s Step) {
	for i := range t.Steps {
		o := &t.Steps[i]
		if o.At.Equal(s.At) && o.Work == s.Work && o.Coating == s.Coating && o.Coat == s.Coat && o.Inspect == s.Inspect && o.Grit == s.Grit &&
			o.Earliest.Equal(s.Earliest) && o.Latest.Equal(s.Latest) && o.Why.Equal(s.Why) {
			o.Areas = append(o.Areas, s.Areas...)
			return
		}
	}
	s.Areas = slices.Clone(s.Areas)
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

// layClear lays the clear coats over all areas, from when all of them may take the first, and reports whether it could.
func (t *Timetable) layClear(tasks []Task, coats []Coat, last map[string]laidCoat, b *Bench) bool {
	top := coats[0]
	first := Step{At: b.Start, Work: LayCoat, Takes: coatTakes, Coating: top.Coating.Name, Coat: 1, Clear: true}
	var rubbed []string
	for _, task := range tasks {
		first.Areas = append(first.Areas, task.Area)
		l, laid := last[task.Area]
		if !laid {
			continue
		}
		if grit := scuffBefore(l.coating, top.Coating); grit > 0 {
			rubbed, top.scuff = append(rubbed, task.Area), max(top.scuff, grit)
		}
		w := l.next(top.Coating, b)
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
	first.At = b.openAfter(first.At, top.lead())
	if !first.Latest.IsZero() && first.At.After(first.Latest) {
		t.warn(fault.Say("schedule.no-common-time", "coating", first.Coating))
		return false
	}
	rest, ok := t.lay(b, "all", coats[1:], laidCoat{first.At, top.Coating, top.Label})
	if !ok {
		return false
	}
	before := first
	before.Areas = rubbed
	t.Steps = append(append(t.Steps, b.before(&top, &before)...), first)
	for _, s := range rest {
		s.Clear, s.Coat, s.Areas = true, s.Coat+1, first.Areas
		t.Steps = append(t.Steps, s)
	}
	t.sort()
	return true
}

// finish fills in when the last coat is dry, and lets it cure.
func (t *Timetable) finish(clear []Coat, last map[string]laidCoat, b *Bench) {
	var family blend.Family
	var laid laidCoat
	end := func(l laidCoat) {
		if ready := l.next(l.coating, b).earliest; ready.After(t.Ready) {
			t.Ready, family, laid = ready, l.coating.Family, l
		}
	}
	if n := len(clear); n > 0 {
		for i := len(t.Steps) - 1; i >= 0 && laid.coating == nil; i-- {
			if s := &t.Steps[i]; s.Clear && s.Work.Coats() {
				end(laidCoat{s.At, clear[n-1].Coating, clear[n-1].Label})
			}
		}
	} else {
		for _, l := range last {
			end(l)
		}
	}
	if laid.coating == nil {
		return
	}
	day := func(at time.Time) time.Time { return time.Date(at.Year(), at.Month(), at.Day(), 12, 0, 0, 0, time.UTC) }
	t.Days = 1 + int(math.Round(day(t.Ready.In(b.Start.Location())).Sub(day(t.Steps[0].At)).Hours()/24))
	c := cureOf(family)
	t.Steps = append(t.Steps, Step{At: t.Ready.In(b.Start.Location()), Work: Cure, Takes: slot, Coating: laid.coating.Name,
		Why: fault.Say("timetable.why-cure", "care", c.care, "full", c.full)})
}
