package schedule

import (
	"slices"
	"strings"
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Practice is a way of working that a caution may forbid.
type Practice string

// The practices that steps name.
const (
	DrySanding Practice = "dry sanding" // of what was there before the work began
	WetSanding Practice = "wet sanding"
	SteelWool  Practice = "steel wool"
)

// A preparation is one piece of work before the first coat.
type preparation struct {
	work  Work
	takes time.Duration
	waits time.Duration // after it
	areas []string
	grit  int
	why   fault.Note
	does  []Practice

	coating string // of a touch-up
}

// Times of the work before the first coat.
//
// Common practice, no source: what is washed or wetted dries for hours; two-part epoxy putty is shaped within about half an hour
// and sanded after one, better overnight.
const (
	washedDries = 2 * time.Hour
	grainDries  = 3 * time.Hour
	puttySets   = 30 * time.Minute
	puttySands  = time.Hour
)

// The grits before the first coat: bare wood from 150 to 220, what is finished 220 to 320. Common practice, no source.
const (
	coarseGrit = 150
	fineGrit   = 220
	scuffGrit  = 320
)

// redWoods are woods whose colour bleeds into pale coats. Common practice, no source.
var redWoods = []string{"mahogany", "sapele", "sapeli", "cedar", "rosewood", "padauk", "cherry", "redwood", "meranti"}

// Red reports whether a wood, as the user calls it, is known to bleed.
func Red(wood string) bool {
	wood = strings.ToLower(wood)
	return slices.ContainsFunc(redWoods, func(red string) bool { return strings.Contains(wood, red) })
}

// prepare lays out the work before the first coat, for areas that have none yet, and returns when the first coat may follow.
func (t *Timetable) prepare(tasks []Task, clear []Coat, j *Job, b *Bench) time.Time {
	at := b.Start
	for _, p := range preparations(tasks, clear, j, b) {
		at = b.open(at)
		t.Steps = append(t.Steps, Step{
			At: at, Work: p.work, Takes: p.takes, Areas: p.areas, Grit: p.grit, Why: p.why, Does: p.does, Coating: p.coating,
		})
		at = at.Add(p.takes + p.waits)
	}
	return at
}

// preparations are those that apply, in order, to areas that want coats and have none; the test spot only where the room bears a
// coat. Common practice, no source.
func preparations(tasks []Task, clear []Coat, j *Job, b *Bench) (all []preparation) {
	var fresh, bare, old, filled, raised []string
	var spot *Coat
	bleeds, piece := false, &j.Piece
	for i := range tasks {
		task := &tasks[i]
		wanted := slices.Concat(j.Tasks[i].Coats, j.Clear)
		if task.Under != nil || len(wanted) == 0 {
			continue
		}
		first := &wanted[0]
		if can := slices.Concat(task.Coats, clear); len(can) > 0 && (spot == nil || can[0].wait(b) > spot.wait(b)) {
			spot = &can[0]
		}
		fresh = append(fresh, task.Area)
		switch task.Surface {
		case blend.Bare:
			bare = append(bare, task.Area)
			if f := first.Coating.Family; f == blend.WaterBorne || f == "" {
				raised = append(raised, task.Area)
			}
		case blend.NonAbsorbing, blend.Porous:
			filled = append(filled, task.Area)
		default:
			old = append(old, task.Area)
		}
		bleeds = bleeds || piece.RedWood || piece.OldFinish == nil || *piece.OldFinish
	}
	lead := "no"
	dry := DrySanding
	if piece.leadLikely() {
		lead, dry = "yes", WetSanding
	}
	add := func(p preparation, areas []string) {
		if p.areas = areas; len(areas) > 0 {
			all = append(all, p)
		}
	}
	if lead == "yes" {
		add(preparation{work: LeadTest, takes: slot, why: fault.Say("timetable.why-lead")}, fresh)
	}
	add(preparation{work: Clean, takes: coatTakes, waits: washedDries, why: fault.Say("timetable.why-clean")}, fresh)
	if bleeds {
		add(preparation{work: BleedTest, takes: slot, why: fault.Say("timetable.why-bleed")}, fresh)
	}
	add(preparation{work: RaiseGrain, takes: slot, waits: grainDries, why: fault.Say("timetable.why-raise")}, raised)
	if len(filled) > 0 {
		add(preparation{work: Repair, takes: puttySets, waits: puttySands - puttySets, why: fault.Say("timetable.why-repair")}, filled)
	}
	add(preparation{work: Sand, takes: coatTakes, grit: fineGrit, why: fault.Say("timetable.why-sand", "coarse", coarseGrit, "lead", lead),
		does: []Practice{dry}}, append(bare, filled...))
	add(preparation{work: ScuffOld, takes: coatTakes, grit: scuffGrit, why: fault.Say("timetable.why-scuff-old", "lead", lead),
		does: []Practice{dry}}, old)
	for i := range tasks {
		if touch := tasks[i].TouchUp; touch != nil && tasks[i].Under == nil && climateOf(touch.Family).bears(b.Room) {
			why := fault.Say("timetable.why-touch-up")
			add(preparation{work: TouchUp, takes: coatTakes, waits: (&Coat{Coating: touch}).wait(b), why: why, coating: touch.Name},
				[]string{tasks[i].Area})
		}
	}
	if spot == nil {
		return all // nothing can be laid
	}
	add(preparation{work: TestSpot, takes: coatTakes, waits: spot.wait(b), why: fault.Say("timetable.why-spot")}, fresh)
	return all
}

// wait is how long a coat dries before the next.
func (c *Coat) wait(b *Bench) time.Duration {
	if d := dryingOf(c.Coating, nil, c.Label, b.Room); d.known() {
		return d.after
	}
	return assumedWait
}
