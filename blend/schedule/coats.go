package schedule

import (
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Bench says when somebody works, and in what air.
type Bench struct {
	Start  time.Time     // of the first coat, at the earliest; its location is the bench's
	Opens  time.Duration // after midnight; both 0 means from 8 to 20
	Closes time.Duration
	Room   Room
}

// A Coat is one coat of an area.
type Coat struct {
	Coating *blend.Coating
	Label   Label
	Inspect bool       // stop and look before it
	Between fault.Note // what is to be done before it; empty is nothing
}

// A Step is one coat on one or more areas with its time.
type Step struct {
	At         time.Time
	Earliest   time.Time // zero for the first
	Latest     time.Time // zero where there is no end
	Areas      []string
	Coating    string
	Coat       int  // number of it on these areas, from 1
	Clear      bool // a clear coat over all
	Inspect    bool // stop and look first
	Do         []fault.Note
	WaitSource fault.Note // where the time before it comes from
	Assumed    bool       // nothing is known of that time: a night is assumed
}

const (
	assumedWait = 12 * time.Hour      // before the next coat where nothing is known: until the next day
	slot        = 15 * time.Minute    // steps start at multiples of it
	horizon     = 21 * 24 * time.Hour // how long after its earliest a step is tried
	mostTried   = 20_000              // starts tried for the coats of one area
)

// A laidCoat is a coat and when it was laid; the zero value is none.
type laidCoat struct {
	at      time.Time
	coating *blend.Coating
	label   Label
}

// A window is when the next coat may follow.
type window struct {
	earliest, latest time.Time  // latest is zero where there is no end
	source           fault.Note // where the times come from
	assumed          bool       // nothing is known: assumedWait
}

// next returns the window of a coat of a coating over l.
func (l laidCoat) next(over *blend.Coating, b *Bench) window {
	if l.coating == nil {
		return window{earliest: b.Start}
	}
	d := dryingOf(l.coating, over, l.label, b.Room)
	w := window{earliest: l.at.Add(d.after), source: d.source}
	if !d.known() {
		w.earliest, w.assumed = l.at.Add(assumedWait), true
		w.source = fault.Say("schedule.unknown-wait")
	}
	if d.before > 0 {
		w.latest = l.at.Add(d.before)
	}
	return w
}

// layCoats lays out the coats of one area over one another, each as early as leaves room for those after it. It returns
// the steps and what is wrong with the room for them, or an error where there is no such order.
func (b *Bench) layCoats(area string, coats []Coat, under laidCoat) (steps []Step, complaints []fault.Note, err error) {
	for i := range coats {
		c := &coats[i]
		if l := c.Label; l.Before > 0 && l.Before < l.After {
			return nil, complaints, fault.New(fault.Use, "schedule.label-order", "coating", c.Coating.Name,
				"after", l.After.Hours(), "before", l.Before.Hours())
		}
		complaints = append(complaints, b.complaints(c)...)
	}
	s := search{bench: b, area: area, coats: coats, steps: make([]Step, len(coats))}
	if !s.lay(0, under) {
		return nil, complaints, fault.In(fault.New(fault.Use, "schedule.no-time"), fault.Place{Area: area})
	}
	return s.steps, complaints, nil
}

// complaints says what is wrong with the room for a coat.
func (b *Bench) complaints(c *Coat) []fault.Note {
	d := dryingOf(c.Coating, nil, c.Label, b.Room)
	return d.complaints(c.Coating.Name, b.Room)
}

// A search is a depth-first search for the times of an area's coats.
type search struct {
	bench *Bench
	area  string
	coats []Coat
	steps []Step
	tried int
}

// lay fills in the steps from coat i on, and reports whether there is room for them.
func (s *search) lay(i int, under laidCoat) bool {
	if i == len(s.coats) {
		return true
	}
	c := &s.coats[i]
	w := under.next(c.Coating, s.bench)
	from := s.bench.open(w.earliest)
	for at := from; at.Sub(from) < horizon && (w.latest.IsZero() || !at.After(w.latest)); at = s.bench.open(at.Add(slot)) {
		if s.tried++; s.tried > mostTried {
			return false
		}
		step := Step{
			At: at, Latest: w.latest, Areas: []string{s.area}, Coating: c.Coating.Name, Coat: 1,
			Inspect: c.Inspect, WaitSource: w.source, Assumed: w.assumed,
		}
		if under.coating != nil {
			step.Earliest = w.earliest
		}
		if !c.Between.Empty() {
			step.Do = append(step.Do, c.Between)
		}
		if i > 0 && s.steps[i-1].Coating == step.Coating {
			step.Coat = s.steps[i-1].Coat + 1
		}
		s.steps[i] = step
		if s.lay(i+1, laidCoat{at, c.Coating, c.Label}) {
			return true
		}
		if c.Label.Before == 0 {
			return false // later is no better for what comes after
		}
	}
	return false
}

// open returns the first slot at or after at in which the bench is open, by the clock on its wall.
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
