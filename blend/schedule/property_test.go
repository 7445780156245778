package schedule

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/internal/figure"
)

// drawJob draws a job of chance: coatings, labels, surfaces, hours, air and what is known of the piece.
func drawJob(rng *rand.Rand, zone *time.Location) Job {
	one := func(n int) bool { return rng.IntN(n) == 0 }
	family := func() blend.Family { return append([]blend.Family{""}, families()...)[rng.IntN(5)] }
	b := Bench{
		Start: time.Date(2026, time.Month(1+rng.IntN(12)), 1+rng.IntN(28), rng.IntN(24), rng.IntN(60), 0, 0, zone),
		Opens: time.Duration(rng.IntN(12)) * time.Hour, Room: Room{12 + 21*rng.Float64(), 20 + 60*rng.Float64()},
	}
	b.Closes = b.Opens + time.Duration(1+rng.IntN(12))*time.Hour
	var shelf []*blend.Coating
	for i := range 3 {
		shelf = append(shelf, &blend.Coating{
			Name: fmt.Sprint("coating ", i), Kind: blend.Kind(blend.Kinds[rng.IntN(len(blend.Kinds))]), Family: family(),
			PutOn: blend.PutOn(blend.PutOns[rng.IntN(3)]),
		})
	}
	coat := func(c *blend.Coating) Coat {
		var l Label
		if one(3) {
			l.After = time.Duration(1+rng.IntN(30)) * time.Hour
		}
		if one(3) {
			l.Before = max(l.After, 10*time.Hour) + time.Duration(rng.IntN(60))*time.Hour
		}
		if one(5) {
			l.NotBelow = 5 + 20*rng.Float64()
		}
		return Coat{Coating: c, Label: l, Inspect: one(3)}
	}
	j := Job{Bench: b, Prepared: one(4)}
	for a := range 1 + rng.IntN(3) {
		task := Task{Area: fmt.Sprint("area ", a), Surface: blend.Surface(append(slices.Clone(blend.Surfaces), "")[rng.IntN(6)])}
		if one(4) {
			task.Under = shelf[rng.IntN(3)]
		}
		if one(6) {
			task.TouchUp = shelf[rng.IntN(3)]
		}
		for range rng.IntN(5) {
			task.Coats = append(task.Coats, coat(shelf[rng.IntN(3)]))
		}
		j.Tasks = append(j.Tasks, task)
	}
	clear := &blend.Coating{Name: "clear", Kind: Clear, Family: family(), PutOn: blend.PutOn(blend.PutOns[rng.IntN(3)])}
	for range rng.IntN(3) {
		j.Clear = append(j.Clear, coat(clear))
	}
	is := func() *bool {
		answer := one(2)
		return []*bool{nil, &answer}[rng.IntN(2)]
	}
	j.Piece = Circumstance{
		YearMade: []int{0, 1930, 1985, 2010}[rng.IntN(4)], Country: append(slices.Clone(Countries), "")[rng.IntN(4)], OldFinish: is(),
		Indoors: is(), Children: is(), RedWood: one(2), Filled: one(2), Bleached: one(4),
	}
	return j
}

func families() (all []blend.Family) {
	for _, f := range blend.Families {
		all = append(all, blend.Family(f))
	}
	return all
}

// mustNotTouch are the layer rules in words of their own, by two coats that follow one another; "" is fine.
func mustNotTouch(under, over *blend.Coating) string {
	same := under.Family == over.Family && under.Family != ""
	place := map[blend.Kind]int{"dye": 1, "stain": 2, "glaze": 3, "toner": 4}
	sprayed := over.PutOn == blend.Sprayed || over.Kind == "toner"
	switch {
	case *under == *over:
		return ""
	case place[over.Kind] > 0 && place[over.Kind] < place[under.Kind]:
		return "dye, stain, glaze, toner: in this order"
	case (over.Kind == "stain" || over.Kind == "dye") && (under.Kind == "wash" || under.Kind == "paint"):
		return "a stain or a dye must reach the wood"
	case same && (under.Kind == "dye" || over.Kind == "dye"):
		return "a dye bleeds into its own solvent"
	case same && !sprayed && (under.Family == blend.Alcohol || under.Family == blend.Lacquer):
		return "brushed shellac and lacquer lift their own kind"
	case under.Family == blend.OilBorne && over.Family == blend.Lacquer && under.Kind != "stain" && under.Kind != "dye" && under.Kind != Clear:
		return "lacquer wrinkles oil"
	case under.Kind == "glaze" && over.Kind == "glaze":
		return "glazes are sealed between"
	}
	return ""
}

// TestNoStepBreaksARule tries 2000 jobs: no step is outside its window, hours or air, no two coats touch that must not, whatever
// is used has its caution, and no caution forbids what a step does. What is left out is said.
func TestNoStepBreaksARule(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 15))
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	steps, refused := 0, 0
	for n := range 2000 {
		j := drawJob(rng, berlin)
		s := LayOut(j)
		steps += len(s.Steps)
		for i := range s.Steps {
			withinItsTime(t, &j, &s.Steps[i])
		}
		require.True(t, slices.IsSortedFunc(s.Steps, func(a, b Step) int { return a.At.Compare(b.At) }), "job %d: in order", n)
		touching(t, &j, &s)
		cautioned(t, &j, &s)
		if s.Ready.IsZero() {
			wanted := len(j.Clear)
			for _, task := range j.Tasks {
				wanted += len(task.Coats)
			}
			require.True(t, wanted == 0 || len(s.Warnings) > 0, "job %d: what is left out is said", n)
			refused++
		}
	}
	figure.Report(t, "timetable/steps out of their time", "none of %d", steps)
	t.Logf("%d steps in 2000 jobs, %d of which could not be finished", steps, refused)
	require.Less(t, refused, 1900, "enough of them can be finished to mean anything")
	require.Greater(t, steps, 10_000)
}

func withinItsTime(t *testing.T, j *Job, step *Step) {
	t.Helper()
	b := &j.Bench
	require.False(t, step.At.Before(b.Start), "not before the start")
	if step.Work == Cure {
		return
	}
	require.False(t, step.At.Before(step.Earliest), "%s not before its earliest", step.Work)
	require.True(t, step.Latest.IsZero() || !step.At.After(step.Latest), "%s not after its latest", step.Work)
	wall := step.At.In(b.Start.Location())
	since := time.Duration(wall.Hour())*time.Hour + time.Duration(wall.Minute())*time.Minute
	require.True(t, since >= b.Opens && since <= b.Closes, "%s: %v is outside %v to %v", step.Work, wall, b.Opens, b.Closes)
	if step.Work != LayCoat {
		return
	}
	// The trade's limits, in figures of their own: the label goes before.
	low := map[blend.Family]float64{blend.WaterBorne: 18, blend.OilBorne: 12, blend.Alcohol: 10, blend.Lacquer: 10, "": 18}
	for _, c := range append(tasksCoats(j), j.Clear...) {
		if c.Coating.Name == step.Coating && c.Label == (Label{}) && b.Room.Temperature < low[c.Coating.Family] {
			labelled := slices.ContainsFunc(append(tasksCoats(j), j.Clear...), func(o Coat) bool {
				return o.Coating == c.Coating && o.Label.NotBelow > 0
			})
			require.True(t, labelled, "%s at %.1f °C", c.Coating.Family, b.Room.Temperature)
		}
	}
}

func tasksCoats(j *Job) (all []Coat) {
	for _, task := range j.Tasks {
		all = append(all, task.Coats...)
	}
	return all
}

// touching holds the coats of each area against the rules of the layers.
func touching(t *testing.T, j *Job, s *Timetable) {
	t.Helper()
	byName := map[string]*blend.Coating{}
	for _, c := range s.Used {
		byName[c.Name] = c
	}
	for _, task := range j.Tasks {
		under, stains := task.Under, 0
		if under == nil {
			under = task.TouchUp
		}
		for i := range s.Steps {
			step := &s.Steps[i]
			if !step.Work.Coats() || !slices.Contains(step.Areas, task.Area) {
				continue
			}
			over := byName[step.Coating]
			require.NotNil(t, over, "%s is used", step.Coating)
			if under != nil {
				require.Empty(t, mustNotTouch(under, over), "%+v under %+v", under, over)
			} else if over.Kind == "stain" {
				require.True(t, task.Surface.Absorbs() || task.Surface == "", "%s on %s", over.Kind, task.Surface)
			}
			if over.Kind == "stain" && (under == nil || under == over) {
				stains++
				require.LessOrEqual(t, stains, 2, "a stain is one coat or two")
			} else {
				stains = 0
			}
			under = over
		}
	}
}

// cautioned holds the cautions against what is used and what the steps do.
func cautioned(t *testing.T, j *Job, s *Timetable) {
	t.Helper()
	c := &s.Known
	needs := map[string]bool{"dust": true}
	for _, k := range s.Used {
		unknown := k.Family == ""
		needs["rags"] = needs["rags"] || k.Family == blend.OilBorne || unknown
		needs["fire"] = needs["fire"] || k.Family != blend.WaterBorne
		needs["steel wool"] = needs["steel wool"] || k.Family == blend.WaterBorne || unknown
		needs["spraying"] = needs["spraying"] || k.PutOn == blend.Sprayed || k.Kind == "toner"
	}
	needs["epoxy"], needs["filler dust"], needs["bleach"], needs["bleed"] = c.Filled, c.Filled, c.Bleached, c.RedWood
	mends := slices.ContainsFunc(s.Steps, func(step Step) bool { return step.Work == Repair })
	needs["epoxy"], needs["filler dust"] = needs["epoxy"] || mends, needs["filler dust"] || mends
	needs["bleed"] = needs["bleed"] || j.Piece.OldFinish == nil
	all := Cautions(*c)
	fireAt := func(w Work) bool {
		return slices.ContainsFunc(all, func(k Caution) bool { return k.Key == "fire" && k.Matters && slices.Contains(k.Works, w) })
	}
	require.True(t, fireAt(Clean) && fireAt(SealCoat))
	require.True(t, fireAt(LayCoat) || !needs["fire"], "what burns is laid, no caution")
	for key, need := range needs {
		if need {
			require.True(t, slices.ContainsFunc(all, func(k Caution) bool { return k.Key == key && k.Matters }), "%s in use, no caution", key)
		}
	}
	for _, k := range all {
		for i := range s.Steps {
			for _, p := range k.Forbids {
				require.False(t, k.Matters && slices.Contains(s.Steps[i].Does, p), "%s forbids %s, which %s does", k.Key, p, s.Steps[i].Work)
			}
		}
	}
}
