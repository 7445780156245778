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
		paints = append(paints, fmt.Sprintf("%s of %s", partWords(part.Parts), part.Coating))
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
