package plan

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// lampScore holds what was said of differences in lamplight against what measured spectra make of them, as sums of ΔE00.
type lampScore struct {
	n       float64
	lamp    float64 // the differences themselves
	led     float64 // how far those under a warm LED are from them
	plan    float64 // error of what a plan says
	asByDay float64 // error of what it says of daylight, taken for the lamp too
	guess   float64 // error of the likely spectra of both colours, known exactly
	sameDay float64 // error of the daylight difference, known exactly
	inRange float64 // ranges that hold
}

func (s *lampScore) add(x, y *spectra.Spectrum, lampSaid, daySaid Spread) {
	under := func(x, y *spectra.Spectrum, l *spectra.Light) float64 {
		return colour.DeltaE2000(x.LabUnder(l), y.LabUnder(l))
	}
	truly := under(x, y, lamp)
	likelyX, likelyY := spectra.PriorSpectrum(x.Lab()), spectra.PriorSpectrum(y.Lab())
	s.n++
	s.lamp += truly
	s.led += math.Abs(under(x, y, spectra.LightWarmLED) - truly)
	s.plan += math.Abs(lampSaid.Median - truly)
	s.asByDay += math.Abs(daySaid.Median - truly)
	s.guess += math.Abs(under(&likelyX, &likelyY, lamp) - truly)
	s.sameDay += math.Abs(under(x, y, spectra.LightD65) - truly)
	if lampSaid.Low <= truly && truly <= lampSaid.High {
		s.inRange++
	}
}

// lampPlan plans the five other woods of a bench under a wash, to meet or towards the dark red wood, and adds how they end.
func (b *makingBench) lampPlan(t *testing.T, w *learn.Samples, problem Problem, end func(i, coats int) spectra.Spectrum, s *lampScore) {
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	c := &plan.Choices[0]
	var ends []spectra.Spectrum
	for i := range c.Areas {
		ends = append(ends, end(i, coatsOn(&c.Areas[i])))
		if c.Areas[i].ToTarget {
			s.add(&b.dark, &ends[i], c.Areas[i].Lamp.DeltaE, c.Areas[i].After)
		}
	}
	at := func(name string) int {
		return slices.IndexFunc(c.Areas, func(a AreaPlan) bool { return a.Name == name })
	}
	for _, p := range c.Pairs {
		if !c.Areas[at(p.Areas[0])].ToTarget {
			s.add(&ends[at(p.Areas[0])], &ends[at(p.Areas[1])], p.Lamp.DeltaE, p.After)
		}
	}
}

// TestLampAgainstMeasuredSpectra lays measured paints over woods and looks at how far they are apart under a lamp. A plan knows three
// numbers of each and guesses; that all is as by day is the simpler guess.
func TestLampAgainstMeasuredSpectra(t *testing.T) {
	b := newMakingBench(t, &truths[1])
	var woods, target lampScore
	for wash, seed := range b.drawn(t, 2) {
		b.reseed(seed)
		dataset := learn.Dataset{Shelf: []learn.ShelfCoating{{Name: wash.Name, Kind: wash.Kind, Evidence: b.evidence(wash)}}}
		var meet, match Problem
		for i := range b.others {
			dataset.Colours = append(dataset.Colours, b.read(b.others[i]))
			a := Area{Name: fmt.Sprint("area ", i), Surface: b.truth.surface(), Mean: i, Light: None, Dark: None, Target: None}
			meet.Areas = append(meet.Areas, a)
			a.Target = len(b.others)
			match.Areas = append(match.Areas, a)
		}
		dataset.Colours = append(dataset.Colours, b.read(b.dark))
		w, err := dataset.Draw(t.Context(), learn.Options{})
		require.NoError(t, err)
		end := func(i, coats int) spectra.Spectrum { return b.over(wash, &b.others[i], float64(coats)) }
		b.lampPlan(t, w, meet, end, &woods)
		b.lampPlan(t, w, match, end, &target)
	}
	for _, one := range []struct {
		name string
		s    *lampScore
	}{{"two woods", &woods}, {"a wood and its target", &target}} {
		s := one.s
		figure.Report(t, "lamp/"+one.name, "%.2f; as by day %.2f", s.plan/s.n, s.asByDay/s.n)
		figure.Report(t, "lamp/"+one.name+"/known by day", "%.2f; as by day %.2f", s.guess/s.n, s.sameDay/s.n)
		figure.Report(t, "lamp/"+one.name+"/ranges", "%.0f of 100 ranges (%.0f differences, %.1f in the mean)",
			100*s.inRange/s.n, s.n, s.lamp/s.n)
		figure.Report(t, "lamp/"+one.name+"/LED", "%.2f", s.led/s.n)
		require.Less(t, s.plan, s.asByDay, "the guess says more than daylight does: %s", one.name)
		require.Less(t, s.guess, s.sameDay, one.name)
		figure.AtLeast(t, 0.80, s.inRange/s.n, s.n/5, one.name)
	}
}
