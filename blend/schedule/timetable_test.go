package schedule

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/internal/fault"
	"huewright/internal/words"
)

var bench9 = Bench{Start: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC), Room: Room{Temperature: 21, Humidity: 50}}

func coatsFor(c *blend.Coating, n int, l Label) (coats []Coat) {
	for range n {
		coats = append(coats, Coat{Coating: c, Label: l})
	}
	return coats
}

// The figures are those of the trade's handbooks and labels, see DryingOf.
func TestDryingIsTheTrades(t *testing.T) {
	warm, cool := Room{21, 50}, Room{15, 50}
	water := &blend.Coating{Name: "wash", Kind: "wash", Family: blend.WaterBorne}
	oil := &blend.Coating{Name: "varnish", Kind: "paint", Family: blend.OilBorne}
	stain := &blend.Coating{Name: "stain", Kind: "stain", Family: blend.OilBorne}
	gel := &blend.Coating{Name: "gel", Kind: "glaze", Family: blend.OilBorne, PutOn: blend.Wiped}
	shellac := &blend.Coating{Name: "shellac", Kind: "paint", Family: blend.Alcohol}
	lacquer := &blend.Coating{Name: "lacquer", Kind: "paint", Family: blend.Lacquer}
	for _, c := range []struct {
		under, over *blend.Coating
		room        Room
		after       time.Duration
	}{
		{water, water, warm, 4 * time.Hour}, {water, water, cool, 10 * time.Hour}, {water, water, Room{25, 80}, 10 * time.Hour},
		{oil, oil, warm, 10 * time.Hour}, {stain, oil, warm, 24 * time.Hour}, {stain, water, warm, 48 * time.Hour},
		{gel, gel, warm, 24 * time.Hour}, {shellac, shellac, warm, time.Hour}, {lacquer, lacquer, warm, 2 * time.Hour},
		{lacquer, lacquer, Room{16, 50}, 4 * time.Hour}, {lacquer, water, warm, 0},
	} {
		d := dryingOf(c.under, c.over, Label{}, c.room)
		require.Equal(t, c.after, d.after, "%s under %s at %v", c.under.Name, c.over.Name, c.room)
		require.Equal(t, c.after > 0, d.known())
	}
	said := dryingOf(water, water, Label{After: 90 * time.Minute, Before: 30 * time.Hour, NotBelow: 10}, cool)
	require.Equal(t, 90*time.Minute, said.after, "the label goes before")
	require.Equal(t, fault.Say("schedule.label"), said.source)
	require.Empty(t, said.complaints("wash", cool))
	cold := dryingOf(water, water, Label{}, cool)
	require.Len(t, cold.complaints("wash", cool), 1)
	require.Equal(t, fault.Say("schedule.too-cold", "coating", "wash", "room", cool.Temperature, "needs", 18.0,
		"other", "yes", "families", []string{"oil", "alcohol", "lacquer"}),
		cold.complaints("wash", cool)[0])
	damp := dryingOf(shellac, shellac, Label{}, Room{21, 85})
	require.Equal(t, fault.Say("schedule.too-damp", "coating", "shellac", "room", 85.0, "bears", 70.0, "other", "yes",
		"families", []string{"water", "oil"}),
		damp.complaints("shellac", Room{21, 85})[0])
	hot := dryingOf(water, water, Label{NotAbove: 30}, Room{35, 40})
	require.Equal(t, fault.Say("schedule.too-hot", "coating", "wash", "room", 35.0, "bears", 30.0),
		hot.complaints("wash", Room{35, 40})[0])
	require.Empty(t, cold.complaints("wash", Room{math.NaN(), math.NaN()}), "what is not known is no complaint")
}

// laid lays coats out on what has been prepared.
func laid(tasks []Task, clear []Coat, b Bench) Timetable {
	return LayOut(Job{Tasks: tasks, Clear: clear, Bench: b, Prepared: true})
}

// told are the steps as lines: when, what, on which areas.
func told(s *Timetable) (all []string) {
	for _, step := range s.Steps {
		all = append(all, strings.TrimSpace(fmt.Sprintf("%s %s %s %d %s", step.At.Format("2 15:04"), step.Work, step.Coating, step.Coat,
			strings.Join(step.Areas, "+"))))
	}
	return all
}

// A day's work by hand: water-borne coats 4 hours apart, a quarter of an hour to rub down before each, varnish 10 hours apart.
func TestScheduleOfADay(t *testing.T) {
	wash := &blend.Coating{Name: "wash", Kind: "wash", Family: blend.WaterBorne}
	varnish := &blend.Coating{Name: "varnish", Kind: Clear, Family: blend.OilBorne}
	s := laid([]Task{{Area: "frame", Coats: coatsFor(wash, 3, Label{})}, {Area: "panel", Coats: coatsFor(wash, 1, Label{})}},
		coatsFor(varnish, 2, Label{}), bench9)
	require.Empty(t, s.Warnings)
	require.Equal(t, []string{
		"14 09:00 coat wash 1 frame+panel", "14 13:00 scuff wash 2 frame", "14 13:15 coat wash 2 frame", "14 17:15 scuff wash 3 frame",
		"14 17:30 coat wash 3 frame", "15 08:00 coat varnish 1 frame+panel", "15 18:00 scuff varnish 2 frame+panel",
		"15 18:15 coat varnish 2 frame+panel", "16 04:15 cure varnish 0",
	}, told(&s), "the last wash is dry at 21:30, when the bench is closed; colour is not rubbed down under a clear coat")
	require.Equal(t, time.Date(2026, 3, 16, 4, 15, 0, 0, time.UTC), s.Ready)
	require.Equal(t, 3, s.Days)
}

// Coats that lie there already are counted: the next of three, one of which is on, is the second. Another coating begins anew.
func TestCoatsAreCountedOn(t *testing.T) {
	wash := &blend.Coating{Name: "wash", Kind: "wash", Family: blend.WaterBorne}
	glaze := &blend.Coating{Name: "glaze", Kind: "glaze", Family: blend.WaterBorne}
	s := LayOut(Job{Tasks: []Task{
		{Area: "frame", Under: wash, Laid: 1, Coats: append(coatsFor(wash, 2, Label{}), coatsFor(glaze, 1, Label{})...)},
		{Area: "panel", Under: glaze, Laid: 2, Coats: coatsFor(wash, 1, Label{})},
	}, Bench: bench9})
	coats := map[string][]int{}
	for _, step := range s.Steps {
		if step.Work == LayCoat || step.Work == Scuff {
			for _, area := range step.Areas {
				coats[area] = append(coats[area], step.Coat)
			}
		}
	}
	require.Equal(t, []int{2, 2, 3, 3, 1, 1}, coats["frame"], "each rubbed down first")
	require.Equal(t, []int{1}, coats["panel"][len(coats["panel"])-1:])

	stain := &blend.Coating{Name: "stain", Kind: "stain", Family: blend.OilBorne}
	top := Task{Area: "top", Surface: blend.Bare, Under: stain, Laid: 1, Coats: coatsFor(stain, 2, Label{})}
	s = LayOut(Job{Tasks: []Task{top}, Bench: bench9})
	require.Equal(t, []string{"stain 2"}, []string{s.Steps[0].Coating + " " + fmt.Sprint(s.Steps[0].Coat)}, "of stain two coats are the most")
	require.Contains(t, s.Warnings, fault.Say("layer.full", "over", "stain", "most", 2).In(fault.Place{Area: "top"}))
}

// A coat that must follow within 5 hours is not begun in the evening.
func TestScheduleWaitsForTheMorning(t *testing.T) {
	quick := &blend.Coating{Name: "glaze", Kind: "glaze", Family: blend.WaterBorne}
	b := bench9
	b.Start = time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC)
	s := laid([]Task{{Area: "frame", Coats: coatsFor(quick, 2, Label{After: 3 * time.Hour, Before: 5 * time.Hour})}}, nil, b)
	require.Empty(t, s.Warnings)
	require.Equal(t, "15 08:00", s.Steps[0].At.Format("2 15:04"))
	require.Equal(t, "15 11:00", s.Steps[1].At.Format("2 15:04"))
	never := laid([]Task{{Area: "frame", Coats: coatsFor(quick, 2, Label{After: 13 * time.Hour, Before: 14 * time.Hour})}}, nil,
		Bench{Start: b.Start, Opens: 9 * time.Hour, Closes: 10 * time.Hour, Room: b.Room})
	require.Empty(t, never.Steps)
	require.Len(t, never.Warnings, 1)
	require.Equal(t, fault.Say("schedule.no-time").In(fault.Place{Area: "frame"}), never.Warnings[0])
}

// On the night the clocks go forward, ten hours are ten hours, and the bench opens by the clock on
// its wall.
func TestClocksGoForward(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	oil := &blend.Coating{Name: "varnish", Kind: "paint", Family: blend.OilBorne}
	// 28 to 29 March 2026: 02:00 becomes 03:00.
	b := Bench{Start: time.Date(2026, 3, 28, 20, 0, 0, 0, berlin), Opens: 6 * time.Hour, Closes: 22 * time.Hour, Room: bench9.Room}
	s := laid([]Task{{Area: "frame", Coats: coatsFor(oil, 2, Label{})}}, nil, b)
	require.Equal(t, "29 07:00", s.Steps[1].At.In(berlin).Format("2 15:04"), "rubbed down")
	require.Equal(t, 10*time.Hour, s.Steps[1].At.Sub(s.Steps[0].At))
	b.Opens = 8 * time.Hour
	s = laid([]Task{{Area: "frame", Coats: coatsFor(oil, 2, Label{})}}, nil, b)
	require.Equal(t, "29 08:00", s.Steps[1].At.In(berlin).Format("2 15:04"))
	require.Equal(t, 11*time.Hour, s.Steps[1].At.Sub(s.Steps[0].At))
}

func TestCautionsAreNeverDismissed(t *testing.T) {
	yes, no := true, false
	require.True(t, matters(Circumstance{}, "lead"), "what is not known is taken to be")
	require.True(t, matters(Circumstance{YearMade: 1930, OldFinish: &yes}, "lead"))
	require.False(t, matters(Circumstance{YearMade: 1990, Country: "us", OldFinish: &yes}, "lead"))
	require.True(t, matters(Circumstance{YearMade: 1990, Country: "uk", OldFinish: &yes}, "lead"), "until 1992 there")
	require.False(t, matters(Circumstance{YearMade: 1992, Country: "uk", OldFinish: &yes}, "lead"))
	require.True(t, matters(Circumstance{YearMade: 2010, OldFinish: &yes}, "lead"), "no country, no safe year")
	require.True(t, matters(Circumstance{YearMade: 2010, Country: "other", OldFinish: &yes}, "lead"))
	require.False(t, matters(Circumstance{YearMade: 1930, OldFinish: &no}, "lead"))
	require.True(t, matters(Circumstance{Oil: true}, "rags"))
	require.True(t, matters(Circumstance{Unknown: true}, "rags"))
	require.False(t, matters(Circumstance{WaterBorne: true}, "rags"))
	require.True(t, matters(Circumstance{Sprayed: true}, "spraying"))
	require.True(t, matters(Circumstance{WaterBorne: true}, "steel wool"))
	all := len(Cautions(Circumstance{}))
	for _, c := range []Circumstance{{YearMade: 2020, OldFinish: &no, Children: &no, WaterBorne: true},
		{Oil: true, Alcohol: true, Sprayed: true}} {
		require.Len(t, Cautions(c), all, "all are returned, those that matter first")
		for _, k := range Cautions(c) {
			require.NotEmpty(t, words.Speaker{}.Say(k.Danger))
			require.NotEmpty(t, words.Speaker{}.Hint(k.Danger))
		}
	}
}
