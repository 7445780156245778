package plan

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// A woodRow is a bench on which bare sapwood and heartwood take the first coat up in two ways or in one.
type woodRow struct {
	name       string
	sap, heart blendtest.Making
	named      bool    // tests and areas name their woods
	exact      float64 // a guard of the share of counts: none is asked
}

var (
	wetsAlike = blendtest.Making{Wets: 0.4, TakesUp: 0.1}
	drinks    = blendtest.Making{Wets: 0.6, TakesUp: 0.3}
	hardly    = blendtest.Making{Wets: 0.2}
	woodRows  = []woodRow{
		{name: "woods alike, not named", sap: wetsAlike, heart: wetsAlike, exact: 0.8},
		{name: "woods alike, named", sap: wetsAlike, heart: wetsAlike, named: true, exact: 0.8},
		{name: "sapwood takes more, not named", sap: drinks, heart: hardly, exact: 0.6},
		{name: "sapwood takes more, named", sap: drinks, heart: hardly, named: true, exact: 0.75},
	}
)

// A woodsBench lays coats on two woods, pale sapwood and dark heartwood.
type woodsBench struct {
	*makingBench
	row *woodRow
}

func (b *woodsBench) woods() map[string]spectra.Spectrum {
	return map[string]spectra.Spectrum{"sapwood": b.pale, "heartwood": b.dark}
}

// on is the bench as a wood has it.
func (b *woodsBench) on(wood string) *makingBench {
	truth := truth{bare: true, making: b.row.heart, byHand: b.truth.byHand}
	if wood == "sapwood" {
		truth.making = b.row.sap
	}
	return &makingBench{b.byHand, &truth}
}

func (b *woodsBench) name(wood string) string {
	if b.row.named {
		return wood
	}
	return ""
}

// try counts 2, 3 and 5 coats of a wash on both woods, from a chip and one coat on each.
func (b *woodsBench) try(t testing.TB, wash *blend.Coating, s *counted) {
	chip := b.read(wash.Limit())
	e := learn.Evidence{Chip: &chip}
	dataset, problem := learn.Dataset{}, Problem{Options: Options{Price: littlePrice}}
	order := []string{"sapwood", "heartwood"}
	for _, wood := range order {
		test := b.on(wood).test(wash, b.woods()[wood], 1)
		test.Wood = b.name(wood)
		e.Tests = append(e.Tests, test)
	}
	for i, wood := range order {
		spectrum := b.woods()[wood]
		for _, n := range asked {
			end := b.on(wood).over(wash, &spectrum, float64(n))
			at := len(dataset.Colours)
			dataset.Colours = append(dataset.Colours, e.Tests[i].Ground, b.read(end))
			problem.Areas = append(problem.Areas, Area{Name: fmt.Sprint("area ", at), Surface: blend.Bare, Wood: b.name(wood), Mean: at,
				Light: None, Dark: None, Target: at + 1})
		}
	}
	dataset.Shelf = []learn.ShelfCoating{{Name: wash.Name, Kind: wash.Kind, Evidence: e}}
	w, err := dataset.Draw(t.Context(), learn.Options{})
	require.NoError(t, err)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	p := newPlanner(w, &problem)
	for at := range problem.Areas {
		wood, n := order[at/len(asked)], asked[at%len(asked)]
		spectrum, counts := b.woods()[wood], p.counts(&problem.Areas[at])
		end := b.on(wood).over(wash, &spectrum, float64(n))
		s.planned.add(0, len(plan.Choices[0].Areas[at].Path)-1-n)
		b.on(wood).hold(&s.held, wash, &spectrum, n, end.Lab(), &counts)
	}
}

// TestSapwoodAndHeartwood counts coats on bare sapwood and heartwood. Naming woods costs nothing where they are alike, and tells
// where they are not.
func TestSapwoodAndHeartwood(t *testing.T) {
	exact := map[string]float64{}
	for i := range woodRows {
		row := &woodRows[i]
		b := &woodsBench{newMakingBench(t, &truth{bare: true}), row}
		var s counted
		for wash, seed := range b.drawn(t, 2) {
			b.reseed(seed)
			b.try(t, wash, &s)
		}
		t.Logf("%s, n = %.0f: %s\n    %v", row.name, s.trials, s.planned.short(), &s.held)
		figure.Report(t, "woods/"+row.name, "%s of %.0f, region %.0f %%, count %.0f %%", s.planned.short(), s.trials,
			100*s.regions/s.trials, 100*s.held.counts/s.trials)
		exact[row.name] = s.planned.exactShare()
		figure.AtLeast(t, row.exact, s.planned.exactShare(), s.trials/3, row.name) // counts of one paint are alike
		if row.named {
			figure.AtLeast(t, 0.76, s.held.counts/s.trials, s.trials/3, row.name)
			figure.AtLeast(t, 0.85, s.regions/s.trials, s.trials/3, row.name)
		}
	}
	require.Greater(t, exact["sapwood takes more, named"], exact["sapwood takes more, not named"])
}

// A mix of one paint as it comes is that paint: on each bare wood it ends as coats of the paint do, in every sample.
func TestMixOfOneOnItsOwnWood(t *testing.T) {
	b := newMakingBench(t, &truth{bare: true})
	bench := &woodsBench{b, &woodRow{sap: drinks, heart: hardly, named: true}}
	wash := b.half(t, 1)[0]
	b.reseed(1)
	chip := b.read(wash.Limit())
	e, d, problem := learn.Evidence{Chip: &chip}, learn.Dataset{}, Problem{}
	problem.Options.fill()
	for name, wood := range bench.woods() {
		test := bench.on(name).test(wash, wood, 1)
		test.Wood = name
		e.Tests, d.Colours = append(e.Tests, test), append(d.Colours, test.Ground)
		problem.Areas = append(problem.Areas, Area{Name: name, Wood: name, Surface: blend.Bare, Mean: len(d.Colours) - 1, Light: None,
			Dark: None, Target: None})
	}
	d.Shelf = []learn.ShelfCoating{{Name: wash.Name, Kind: wash.Kind, Evidence: e}}
	w, err := d.Draw(t.Context(), learn.Options{Draws: 4})
	require.NoError(t, err)
	m := &mixer{planner: newPlanner(w, &problem)}
	m.areas = m.areasOf([]int{0, 1})
	one := recipe{{0, 1}}
	for _, in := range append([]model{m.best}, m.drawn...) {
		got := m.finals(in, &dosage{recipe: one, water: []int{0, 0}, coats: []int{2, 2}})
		for i, a := range m.areas {
			require.InDelta(t, 0, colour.DeltaE2000(in.finals(a, []layers{{{0, 2}}})[0].mean, got[i].mean), 1e-9, a.Name)
		}
	}
}

// A touch on a spot that absorbs leaves what a first coat of it leaves on that wood.
func TestTouchOnItsOwnWood(t *testing.T) {
	b := newMakingBench(t, &truth{bare: true})
	bench := &woodsBench{b, &woodRow{sap: drinks, heart: hardly, named: true}}
	wash := b.half(t, 1)[0]
	b.reseed(1)
	test := bench.on("sapwood").test(wash, b.pale, 1)
	test.Wood = "sapwood"
	d := learn.Dataset{Colours: []learn.Measured{test.Ground}, Shelf: []learn.ShelfCoating{{Name: wash.Name, Kind: wash.Kind,
		Evidence: learn.Evidence{Tests: []learn.TestCoat{test}}}}}
	w, err := d.Draw(t.Context(), learn.Options{Draws: 1})
	require.NoError(t, err)
	problem := Problem{Areas: []Area{
		{Name: "wood", Wood: "sapwood", Surface: blend.Bare, Mean: 0, Light: None, Dark: None, Target: None},
		{Name: "spot", PartOf: "wood", Wood: "sapwood", Surface: blend.Bare, Mean: 0, Light: None, Dark: None, Target: None}}}
	p := newPlanner(w, &problem)
	p.best.sample.BoardToPiece[0] = 1 // a touch is no coat on the piece
	s := &spot{planner: p, area: &problem.Areas[1], wood: &problem.Areas[0], wet: blend.Bare}
	touched := s.touch(p.best, &way{recipe: recipe{{0, 1}}, touches: 1})
	coat := p.best.lay(s.area, layers{{0, 1}}, nil).mean
	require.InDelta(t, 0, colour.DeltaE2000(coat.Lab(), touched.Lab()), 1e-9)
}
