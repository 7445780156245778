package schedule

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/internal/words"
)

// What the trade put right, a test to a line. All of it is common practice, no source, unless a line says otherwise.

func of(name string, kind blend.Kind, family blend.Family, putOn blend.PutOn) *blend.Coating {
	return &blend.Coating{Name: name, Kind: kind, Family: family, PutOn: putOn}
}

var (
	oilGlaze    = of("oil glaze", "glaze", blend.OilBorne, blend.Brushed)
	waterGlaze  = of("water glaze", "glaze", blend.WaterBorne, blend.Wiped)
	oilStain    = of("oil stain", "stain", blend.OilBorne, blend.Wiped)
	waterWash   = of("wash", "wash", blend.WaterBorne, blend.Brushed)
	lacquer     = of("lacquer", Clear, blend.Lacquer, blend.Brushed)
	sprayLac    = of("sprayed lacquer", Clear, blend.Lacquer, blend.Sprayed)
	lacquerTint = of("lacquer toner", "toner", blend.Lacquer, blend.Sprayed)
	lacquerDye  = of("lacquer dye", "dye", blend.Lacquer, blend.Sprayed)
	varnish     = of("varnish", Clear, blend.OilBorne, blend.Brushed)
	waterClear  = of("water-borne clear", Clear, blend.WaterBorne, blend.Brushed)
)

// stack lays coats on one area, prepared, at 21 °C and 50 %.
func stack(on blend.Surface, clear *blend.Coating, coats ...*blend.Coating) Timetable {
	task := Task{Area: "top", Surface: on}
	for _, c := range coats {
		task.Coats = append(task.Coats, Coat{Coating: c})
	}
	var top []Coat
	if clear != nil {
		top = []Coat{{Coating: clear}}
	}
	return laid([]Task{task}, top, bench9)
}

// laidIn are the coatings that a timetable lays, in order.
func laidIn(s Timetable) (all []string) {
	for _, step := range s.Steps {
		if step.Work.Coats() {
			all = append(all, step.Coating)
		}
	}
	return all
}

// Lacquer over an oil glaze wrinkles, even after a day: 24 hours and dewaxed shellac first, or oil varnish over it.
func TestLacquerNeverTouchesAnOilGlaze(t *testing.T) {
	s := stack(blend.Sealed, lacquer, oilGlaze)
	require.Equal(t, []string{"oil glaze", "dewaxed shellac", "lacquer"}, laidIn(s))
	require.GreaterOrEqual(t, s.Steps[1].At.Sub(s.Steps[0].At), 24*time.Hour)
	require.Equal(t, SealCoat, s.Steps[1].Work)
	require.Len(t, s.Fit, 1)
	require.Contains(t, words.Speaker{}.Say(s.Fit[0]), "wrinkle")
	require.Equal(t, []string{"oil glaze", "varnish"}, laidIn(stack(blend.Sealed, varnish, oilGlaze)))
	require.Equal(t, []string{"oil glaze", "dewaxed shellac", "lacquer toner"}, laidIn(stack(blend.Sealed, nil, oilGlaze, lacquerTint)))
}

func TestStainNeverLiesOverAGlaze(t *testing.T) {
	s := stack(blend.Bare, nil, waterGlaze, oilStain)
	require.Equal(t, []string{"water glaze"}, laidIn(s))
	require.NotEmpty(t, s.Warnings)
}

func TestWipedWaterGlazeIsSealedBeforeAWash(t *testing.T) {
	require.Equal(t, []string{"water glaze", "dewaxed shellac", "wash"}, laidIn(stack(blend.Sealed, nil, waterGlaze, waterWash)))
}

// Lacquer over lacquer and shellac over shellac bite in, and are usual when sprayed; a dye in lacquer bleeds into a lacquer clear.
func TestSprayedLacquerBitesIn(t *testing.T) {
	require.Equal(t, []string{"lacquer toner", "sprayed lacquer"}, laidIn(stack(blend.Sealed, sprayLac, lacquerTint)))
	shellac := of("shellac toner", "toner", blend.Alcohol, blend.Sprayed)
	require.Equal(t, []string{"shellac toner", "shellac"},
		laidIn(stack(blend.Sealed, of("shellac", Clear, blend.Alcohol, blend.Sprayed), shellac)))
	require.Equal(t, []string{"lacquer dye", "dewaxed shellac", "sprayed lacquer"}, laidIn(stack(blend.Bare, sprayLac, lacquerDye)))
	spirit := of("spirit dye", "dye", blend.Alcohol, blend.Brushed)
	require.Equal(t, []string{"spirit dye", "water-borne sealer", "shellac"},
		laidIn(stack(blend.Bare, of("shellac", Clear, blend.Alcohol, ""), spirit)),
		"alcohol would dissolve a barrier of shellac")
}

// Every family has a lowest temperature: water-borne 18 °C, oil 12, shellac and lacquer 10 and dry air. 20 °C at 50 % is normal.
func TestEveryFamilyHasItsAir(t *testing.T) {
	for _, c := range []struct {
		coating  *blend.Coating
		room     Room
		schedule bool
	}{
		{varnish, Room{4, 50}, false}, {varnish, Room{11.9, 50}, false}, {varnish, Room{12, 50}, true},
		{waterClear, Room{17.9, 50}, false}, {waterClear, Room{18, 50}, true},
		{lacquer, Room{9.9, 50}, false}, {lacquer, Room{10, 50}, true}, {lacquer, Room{20, 75}, false},
		{blend.Shellac, Room{9.9, 50}, false}, {blend.Shellac, Room{20, 75}, false}, {blend.Shellac, Room{20, 70}, true},
		{of("what", Clear, "", ""), Room{17, 50}, false}, {of("what", Clear, "", ""), Room{20, 75}, false},
	} {
		b := bench9
		b.Room = c.room
		s := LayOut(Job{Tasks: []Task{{Area: "top", Surface: blend.Sealed, Coats: []Coat{{Coating: c.coating}}}}, Bench: b})
		require.Equal(t, c.schedule, len(laidIn(s)) == 1, "%s at %v", c.coating.Name, c.room)
		require.Equal(t, !c.schedule, s.Ready.IsZero())
		if !c.schedule {
			require.Len(t, s.Warnings, 1)
			require.Contains(t, words.Speaker{}.Hint(s.Warnings[0]), "It can go on once")
			require.NotContains(t, told(&s), "test-spot", "nor a test spot of it")
		}
	}
	for _, c := range []*blend.Coating{waterWash, varnish, oilGlaze, blend.Shellac} {
		require.Equal(t, dryingOf(c, nil, Label{}, Room{21, 50}).after, dryingOf(c, nil, Label{}, Room{20, 50}).after, "neither cool nor damp")
	}
}

// A stain is one wiped coat, perhaps two; it does not take on filler, epoxy or a sealed surface.
func TestStainIsOneCoatOrTwoOnWhatSoaks(t *testing.T) {
	require.Equal(t, []string{"oil stain", "oil stain", "varnish"}, laidIn(stack(blend.Bare, varnish, oilStain, oilStain, oilStain)))
	for _, on := range []blend.Surface{blend.Sealed, blend.NonAbsorbing, blend.ClearCoated} {
		s := stack(on, nil, oilStain)
		require.Empty(t, laidIn(s), on)
		require.Len(t, s.Warnings, 1)
	}
	require.Len(t, laidIn(stack(blend.Porous, nil, oilStain)), 1)
}

// What is thinned with nobody knows what warns as water and as solvent.
func TestUnknownThinnerWarnsAsBoth(t *testing.T) {
	c := Circumstance{OldFinish: new(bool)}
	c.Use(of("what", "wash", "", ""))
	for _, key := range []string{"steel wool", "rags", "fire"} {
		require.True(t, matters(c, key), key)
	}
	c.Use(of("what", "wash", "", blend.Sprayed))
	require.True(t, matters(c, "isocyanate"), "nor whether it is of two parts")
}

func matters(c Circumstance, key string) bool {
	return slices.ContainsFunc(Cautions(c), func(k Caution) bool { return k.Key == key && k.Matters })
}

// said is a caution in both vocabularies, its danger and what to do.
func said(t *testing.T, key string) (uk, us string) {
	t.Helper()
	for _, k := range Cautions(Circumstance{}) {
		if k.Key == key {
			metric, american := words.Speaker{}, words.Speaker{US: true}
			return metric.Say(k.Danger) + " " + metric.Hint(k.Danger), american.Say(k.Danger) + " " + american.Hint(k.Danger)
		}
	}
	t.Fatalf("no caution %q", key)
	return "", ""
}

// Sanded epoxy wants a mask, uncured epoxy nitrile gloves; rags lie flat outside or under water in a closed metal can; masks by class.
func TestCautionsSayWhatToDo(t *testing.T) {
	for key, says := range map[string][]string{
		"epoxy":       {"allergic", "nitrile gloves"},
		"filler dust": {"epoxy", "silica", "mask"},
		"rags":        {"flat", "outside", "under water", "closed metal "},
		"isocyanate":  {"trained sprayers", "supplied air"},
		"pets":        {"children", "away"},
		"silicone":    {"fish-eyes", "Clean"},
		"bleed":       {"Red woods", "dewaxed shellac"},
		"lead":        {"Do not sand it dry", "heat gun", "HEPA", "certified"},
		"strippers":   {"methylene chloride"},
		"bleach":      {"Never mix", "chlorine gas"},
	} {
		uk, us := said(t, key)
		for _, word := range says {
			require.Contains(t, uk, word, key)
			require.Contains(t, us, word, key)
		}
	}
	uk, us := said(t, "rags")
	require.Contains(t, uk, "closed metal tin")
	require.Contains(t, us, "closed metal can")
	uk, us = said(t, "masks")
	for i, class := range []string{"FFP2", "FFP3", "A2P3"} {
		require.Contains(t, uk, class)
		require.Contains(t, us, []string{"N95", "P100", "organic vapor and P100"}[i])
		require.NotContains(t, us, class)
	}
	uk, us = said(t, "steel wool")
	require.True(t, strings.Contains(uk, "wire wool") && strings.Contains(us, "steel wool"))
}

// Bleach is a caution where it is advised, which is on bare wood only, and nowhere else.
func TestBleachIsNeverBothAdvisedAndDismissed(t *testing.T) {
	require.True(t, matters(Circumstance{Bleached: true}, "bleach"))
	require.False(t, matters(Circumstance{Filled: true}, "bleach"))
}

// At most three cautions stand at a step, the worst first, all of them whole.
func TestThreeCautionsMatterMost(t *testing.T) {
	all := Cautions(Circumstance{Filled: true, Oil: true, Lacquer: true, Sprayed: true, WaterBorne: true})
	for _, w := range []Work{"", LeadTest, Clean, BleedTest, Repair, Sand, ScuffOld, Scuff, TestSpot, LayCoat, SealCoat, Cure} {
		most := MattersMost(w, all)
		require.True(t, len(most) > 0 && len(most) <= 3, w)
	}
	require.Equal(t, "lead", MattersMost(Sand, all)[0].Key)
	require.Equal(t, "isocyanate", MattersMost(LayCoat, all)[0].Key)
	require.Equal(t, "epoxy", MattersMost(Repair, Cautions(Circumstance{Filled: true, OldFinish: new(bool)}))[1].Key)
}

// A coat that is thinned with water does not burn; whatever else is laid, or may be, does. Cleaning and sealing keep the caution.
// Common practice, no source.
func TestFireBelongsToWhatMayBurn(t *testing.T) {
	fire := func(w Work, c Circumstance) bool {
		return slices.ContainsFunc(Cautions(c), func(k Caution) bool { return k.Key == "fire" && k.Matters && slices.Contains(k.Works, w) })
	}
	var job Circumstance
	for family, burns := range map[blend.Family]bool{
		blend.WaterBorne: false, blend.OilBorne: true, blend.Alcohol: true, blend.Lacquer: true, "": true,
	} {
		for _, kind := range []blend.Kind{"glaze", "wash", "paint", "dye", "toner"} {
			k := of("what", kind, family, "")
			job.Use(k)
			for _, w := range []Work{LayCoat, TestSpot, TouchUp} {
				require.Equal(t, burns, fire(w, Circumstance{}.Laying(k)), "%s of %q", w, family)
			}
			require.True(t, fire(Clean, Circumstance{}.Laying(k)) && fire(SealCoat, Circumstance{}.Laying(k)))
		}
	}
	water := of("what", "glaze", blend.WaterBorne, "")
	require.True(t, fire(LayCoat, job), "some of the job burns")
	require.False(t, fire(LayCoat, job.Laying(water)), "the rest of the job is another coat's")
	require.True(t, fire(LayCoat, Circumstance{}), "nothing is known of what is laid")
	require.Equal(t, "pets", MattersMost(LayCoat, Cautions(job.Laying(water)))[0].Key)
	require.Equal(t, "rags", MattersMost(LayCoat, Cautions(job.Laying(of("what", "glaze", "", ""))))[0].Key)
	require.Equal(t, "spraying", MattersMost(LayCoat, Cautions(job.Laying(of("what", "glaze", blend.WaterBorne, blend.Sprayed))))[0].Key)
	no := false
	kept := Circumstance{YearMade: 1930, OldFinish: &no, Filled: true}.Laying(water)
	require.True(t, kept.YearMade == 1930 && no == *kept.OldFinish && kept.Filled, "what is known of the piece stays")
}

// works are the kinds of work of a timetable, in order.
func works(s Timetable) (all []Work) {
	for _, step := range s.Steps {
		all = append(all, step.Work)
	}
	return all
}

// The whole job in order, with what applies: clean and degrease, test for bleed-through, raise the grain under water-borne coats,
// sand, test spot, coats with a stop, rubbed down between, clear coats, cure; what does not apply is left out.
func TestTheWholeJob(t *testing.T) {
	coats := coatsFor(waterWash, 2, Label{})
	coats[1].Inspect = true
	job := Job{
		Tasks: []Task{{Area: "frame", Surface: blend.Bare, Coats: coats}}, Clear: coatsFor(waterClear, 2, Label{}), Bench: bench9,
		Piece: Circumstance{OldFinish: new(bool), RedWood: true},
	}
	s := LayOut(job)
	require.Empty(t, s.Warnings)
	require.Equal(t, []Work{Clean, BleedTest, RaiseGrain, Sand, TestSpot, LayCoat, Stop, Scuff, LayCoat, LayCoat, Scuff, LayCoat, Cure},
		works(s))
	for _, step := range s.Steps {
		plain := step.Work == LayCoat
		require.True(t, plain || !step.Why.Empty(), "%s has its reason", step.Work)
		require.Positive(t, step.Takes)
	}
	require.GreaterOrEqual(t, s.Steps[2].Grit+s.Steps[3].Grit, 220)

	job.Tasks[0].Surface = blend.Sealed
	job.Piece.RedWood = false
	require.NotContains(t, works(LayOut(job)), RaiseGrain, "on what is sealed")
	require.NotContains(t, works(LayOut(job)), BleedTest, "new wood that is not red")
	job.Piece.OldFinish = nil
	require.Equal(t, []Work{LeadTest, Clean, BleedTest}, works(LayOut(job))[:3])
	job.Tasks[0].Under = waterWash
	require.Equal(t, Scuff, works(LayOut(job))[0], "an area that has a coat is prepared already")
	oil := Job{Tasks: []Task{{Area: "frame", Surface: blend.Bare, Coats: coatsFor(oilStain, 1, Label{})}}, Bench: bench9}
	require.NotContains(t, works(LayOut(oil)), RaiseGrain, "oil raises no grain")
	require.NotContains(t, works(LayOut(oil)), Repair)
	oil.Tasks[0].Surface = blend.Porous
	require.Contains(t, works(LayOut(oil)), Repair)
}

// Where a coat needs a barrier under it, the stop before that coat comes before the barrier: the plan predicts the colour without
// it, and another coat of what lies there could still go on.
func TestTheStopComesBeforeTheSeal(t *testing.T) {
	coats := append(coatsFor(waterGlaze, 1, Label{}), coatsFor(waterWash, 1, Label{})...)
	coats[1].Inspect = true
	s := LayOut(Job{Tasks: []Task{{Area: "frame", Surface: blend.Sealed, Coats: coats}}, Bench: bench9, Prepared: true})
	require.Empty(t, s.Warnings)
	require.Equal(t, []Work{LayCoat, Stop, SealCoat, Scuff, LayCoat, Cure}, works(s))
}

// An old finish that may hold lead is not sanded dry.
func TestLeadIsNotSandedDry(t *testing.T) {
	job := Job{Tasks: []Task{{Area: "frame", Surface: blend.ClearCoated, Coats: coatsFor(waterWash, 1, Label{})}}, Bench: bench9}
	for _, step := range LayOut(job).Steps {
		require.NotContains(t, step.Does, DrySanding)
	}
	job.Piece.OldFinish = new(bool)
	require.True(t, slices.ContainsFunc(LayOut(job).Steps, func(s Step) bool { return slices.Contains(s.Does, DrySanding) }))
}

// Shellac sealer: coats half an hour apart, rubbed down after an hour with 220 or finer.
func TestSealerCoatsAreHalfAnHourApart(t *testing.T) {
	coats := append(coatsFor(blend.Shellac, 3, Label{}), Coat{Coating: waterWash})
	s := laid([]Task{{Area: "frame", Surface: blend.Bare, Coats: coats}}, nil, bench9)
	require.Equal(t, []Work{LayCoat, LayCoat, LayCoat, Scuff, LayCoat, Cure}, works(s))
	for i := 1; i < 3; i++ {
		require.Equal(t, 30*time.Minute, s.Steps[i].At.Sub(s.Steps[i-1].At))
	}
	require.Equal(t, time.Hour, s.Steps[3].At.Sub(s.Steps[2].At))
	require.GreaterOrEqual(t, s.Steps[3].Grit, 220)
}

// Two-part epoxy putty sets in about half an hour and is sanded after one.
func TestPuttyIsSandedAfterAnHour(t *testing.T) {
	s := LayOut(Job{Tasks: []Task{{Area: "corner", Surface: blend.NonAbsorbing, Coats: coatsFor(waterWash, 1, Label{})}}, Bench: bench9})
	at := slices.Index(works(s), Repair)
	require.Equal(t, 30*time.Minute, s.Steps[at].Takes)
	require.Equal(t, Sand, s.Steps[at+1].Work)
	require.Equal(t, time.Hour, s.Steps[at+1].At.Sub(s.Steps[at].At))
}

// A spot is touched up after sanding and before its coats, and dries before they go on; lacquer over an oil touch-up gets its barrier.
func TestSpotsAreTouchedUpFirst(t *testing.T) {
	job := Job{Tasks: []Task{{Area: "corner", Surface: blend.NonAbsorbing, TouchUp: of("tube", "paint", blend.OilBorne, ""),
		Coats: []Coat{{Coating: lacquerTint}}}}, Bench: bench9, Piece: Circumstance{OldFinish: new(bool)}}
	s := LayOut(job)
	require.Equal(t, []Work{Clean, Repair, Sand, TouchUp, TestSpot, SealCoat, Scuff, LayCoat, Cure}, works(s), "a sealer is rubbed down")
	require.GreaterOrEqual(t, s.Steps[5].At.Sub(s.Steps[3].At), 10*time.Hour)
	require.True(t, s.Known.Oil)
	job.Bench.Room.Temperature = 11
	require.Empty(t, laidIn(LayOut(job)), "too cold for the touch-up")
	require.NotContains(t, works(LayOut(job)), TouchUp)
}

// A clear coat over one already clear-coated does not wet the wood again, so that the first of several does most. A measured case,
// from memory of an abstract, has wax on cherry at ΔE* 8.4, 11.3 and 11.6 for one, two and three layers.
func TestAClearCoatWetsOnce(t *testing.T) {
	c := blend.ClearCoat{Wetting: 0.6}
	require.Zero(t, c.On(blend.ClearCoated).Wetting)
	require.Positive(t, c.On(blend.Bare).Wetting)
}

// Every row of the tables says something of a family that there is, within what can be.
func TestTablesAreWhole(t *testing.T) {
	for _, f := range append(families(), "") {
		c := climateOf(f)
		require.True(t, c.notBelow < c.coolBelow && c.coolBelow < c.notAbove && c.dampOver < c.notDamper, f)
		require.Greater(t, cureOf(f).full, cureOf(f).care, f)
		require.True(t, climateOf("").notBelow >= c.notBelow && climateOf("").notDamper <= c.notDamper, "what is not known is the strictest")
	}
	for _, u := range usualTimes {
		require.True(t, u.low <= u.high && u.low <= u.after && u.inTheCold > u.after, u.code)
	}
	for _, k := range blend.Kinds {
		require.True(t, slices.ContainsFunc(scuffings, func(s scuffing) bool { return slices.Contains(s.kinds, blend.Kind(k)) }), k)
	}
}
