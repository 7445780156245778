package report

import (
	"fmt"
	"strings"

	"huewright/blend/plan"
	"huewright/internal/workshop"
)

// meet says how areas come together.
func (p *page) meet(r *workshop.PlanResult) {
	m := r.Meet
	p.line("")
	p.wrapped("  ", fmt.Sprintf("no target: the areas are brought to meet; the two that differ most are %.1f apart as they are", m.Before))
	for i := range m.Choices {
		c := &m.Choices[(m.Chosen+i)%len(m.Choices)]
		p.line("")
		var areas []string
		for _, a := range c.Areas {
			areas = append(areas, a.Name+" "+counted(a.Coats))
		}
		then := fmt.Sprintf("%s. Then %s and %s are %s apart", strings.Join(areas, "; "), c.Pair[0], c.Pair[1], spread(c.Worst))
		p.wrapped("  "+c.Kind+": ", then+grainWords(c.Grain))
	}
	p.pairs(m.Choices[m.Chosen].Pairs)
	if m.Lightest != "" {
		p.wrapped("  ", fmt.Sprintf("nothing on the shelf lightens %s; where the others stay lighter than it, more coats would bring "+
			"them down and cost them grain", m.Lightest))
	}
	chosen := &m.Choices[m.Chosen]
	p.line("")
	p.line("  common   %s  %s", swatch(chosen.Common), lab(chosen.Common))
	for _, a := range chosen.Areas {
		of := r.Named(a.Name)
		p.line("")
		p.line("  %s", title(of.Area))
		p.readings(of.Views)
		p.predictions(of.Laid)
		if n := coatsIn(a.Coats); n > 0 {
			p.wrapped("    ", stopWords(a.StopAfter, n))
		}
		p.steps(a.Path, a.OneMore)
	}
}

// pairs says how far every two of several areas come together; with two areas it has been said.
func (p *page) pairs(pairs []plan.MeetPair) {
	if len(pairs) < 2 {
		return
	}
	p.line("")
	width := longest(pairs, pairName)
	for _, pair := range pairs {
		p.line("  %s  from %4.1f to %s apart", pad(pairName(pair), width), pair.Before, spread(pair.After))
	}
}

func pairName(p plan.MeetPair) string { return p.Areas[0] + " and " + p.Areas[1] }

// mixes says what could be stirred together instead.
func (p *page) mixes(r *workshop.PlanResult) {
	if r.Mix == nil || r.Mix.OneMix == nil {
		return
	}
	p.line("")
	p.mix("one mix for all", r.Mix.OneMix, r.Meet != nil)
	if m := r.Mix.OneCount; m != nil && len(m.Areas) > 1 {
		p.mix("one count, thinned for each", m, r.Meet != nil)
	}
	if r.Mix.MixedMore {
		p.wrapped("  ", "how paints mix is a first guess: stir a little and try it on scrap before the batch")
	}
}

func (p *page) mix(lead string, m *plan.MixPlan, meets bool) {
	var paints, areas []string
	for _, part := range m.Parts {
		paints = append(paints, howMany(part.Parts, "part", "parts")+" of "+part.Coating)
	}
	same := true
	for _, a := range m.Areas {
		same = same && a.Water == m.Water
	}
	stir := strings.Join(paints, ", ")
	if same {
		stir += water(m.Water)
	}
	for _, a := range m.Areas {
		s := fmt.Sprintf("%s %s", a.Name, plan.CoatWords(a.Coats))
		if !same {
			s += strings.TrimPrefix(water(a.Water), ",")
		}
		areas = append(areas, s)
	}
	end := "from their targets on average"
	if meets {
		end = "apart at most"
	}
	p.wrapped("  "+lead+": ", fmt.Sprintf("%s; %s; then %s %s%s", stir, strings.Join(areas, ", "), spread(m.DeltaE), end, grainWords(m.Grain)))
}

type meetJSON struct {
	Before   num              `json:"delta_e_before"` // of the two areas that differ most
	Chosen   int              `json:"chosen"`         // among choices
	Together bool             `json:"together"`       // the chosen brings all within tolerance
	Lightest string           `json:"cannot_be_lightened"`
	Choices  []meetChoiceJSON `json:"choices"`
}

type meetChoiceJSON struct {
	Kind   string         `json:"kind"`
	Worst  spreadJSON     `json:"delta_e"` // of the two areas that then differ most
	Pair   [2]string      `json:"pair"`
	Pairs  []meetPairJSON `json:"pairs"` // every two areas
	Common [3]num         `json:"common"`
	Grain  num            `json:"grain"`
	Areas  []meetAreaJSON `json:"areas"`
}

type meetPairJSON struct {
	Areas  [2]string  `json:"areas"`
	Before num        `json:"delta_e_before"`
	After  spreadJSON `json:"delta_e"`
}

type meetAreaJSON struct {
	Name      string     `json:"name"`
	Coats     []coatJSON `json:"coats"`
	StopAfter int        `json:"stop_after"`
	Grain     num        `json:"grain"`
	Path      []stepJSON `json:"path"`
	OneMore   stepJSON   `json:"one_more"`
}

func meetOf(m *plan.MeetPlan) *meetJSON {
	if m == nil {
		return nil
	}
	out := &meetJSON{Before: num(m.Before), Chosen: m.Chosen, Together: m.Together, Lightest: m.Lightest}
	for _, c := range m.Choices {
		choice := meetChoiceJSON{Kind: c.Kind, Worst: spreadOf(c.Worst), Pair: c.Pair, Common: triple(c.Common), Grain: num(c.Grain)}
		for _, two := range c.Pairs {
			choice.Pairs = append(choice.Pairs, meetPairJSON{two.Areas, num(two.Before), spreadOf(two.After)})
		}
		for _, a := range c.Areas {
			choice.Areas = append(
				choice.Areas, meetAreaJSON{a.Name, coatsOf(a.Coats), a.StopAfter, num(a.Grain), stepsOf(a.Path), stepOf(a.OneMore)},
			)
		}
		out.Choices = append(out.Choices, choice)
	}
	return out
}

type mixesJSON struct {
	OneMix     *mixJSON `json:"one_mix"`   // with a count for each area
	OneCount   *mixJSON `json:"one_count"` // with a dilution for each area
	FirstGuess bool     `json:"first_guess"`
}

type mixJSON struct {
	Parts  []mixPartJSON `json:"parts"`
	Areas  []mixAreaJSON `json:"areas"`
	DeltaE spreadJSON    `json:"delta_e"`
	Grain  num           `json:"grain"`
}

type mixPartJSON struct {
	Coating string `json:"coating"`
	Parts   int    `json:"parts"`
}

type mixAreaJSON struct {
	Name  string `json:"name"`
	Coats int    `json:"coats"`
	Water int    `json:"water"` // parts, to all parts of paint
	Lab   [3]num `json:"lab"`
	Grain num    `json:"grain"`
}

func mixesOf(m *plan.MixAnswer) *mixesJSON {
	if m == nil {
		return nil
	}
	return &mixesJSON{mixOf(m.OneMix), mixOf(m.OneCount), m.MixedMore}
}

func mixOf(m *plan.MixPlan) *mixJSON {
	if m == nil {
		return nil
	}
	out := &mixJSON{DeltaE: spreadOf(m.DeltaE), Grain: num(m.Grain)}
	for _, p := range m.Parts {
		out.Parts = append(out.Parts, mixPartJSON{p.Coating, p.Parts})
	}
	for _, a := range m.Areas {
		out.Areas = append(out.Areas, mixAreaJSON{a.Name, a.Coats, a.Water, triple(a.Lab), num(a.Grain)})
	}
	return out
}

type testJSON struct {
	Coating string `json:"coating"`
	Coats   int    `json:"coats"`
	On      string `json:"on"`
	Now     num    `json:"range_now"` // in coats
	Then    num    `json:"range_then"`
}

func testsOf(tests []plan.TestAdvice) []testJSON {
	all := []testJSON{}
	for _, t := range tests {
		all = append(all, testJSON{t.Coating, t.Coats, t.On, num(t.Now), num(t.Then)})
	}
	return all
}
