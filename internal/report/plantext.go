package report

import (
	"fmt"
	"io"
	"math"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// PlanText writes a plan for a terminal.
func PlanText(w io.Writer, r *workshop.PlanResult) error {
	var p page
	p.line("%s", r.Piece.Name)
	for _, photo := range r.Photos {
		p.calibration("  "+photo.Name+": ", photo.Calibration)
	}
	p.agreements(r.Between)
	p.warnings("  ", r.Warnings)
	if r.Pieces > 0 {
		p.wrapped("  ", HabitWords(r.Bias.Film, r.Bias.Wider, r.Pieces))
	}
	p.line("")
	for i, k := range r.Coatings {
		p.coating(k, r.Piece.Coatings[i].Dilution, r.Earlier)
	}
	if r.Finished {
		p.line("")
		p.wrapped("  ", "colours from here on are as they will be seen under the clear coat")
	}
	for _, a := range r.Areas {
		if a.Plan != nil {
			p.line("")
			p.areaPlan(a)
		}
	}
	if r.Meet != nil {
		p.meet(r)
	}
	p.batches(r)
	p.mixes(r)
	p.tests(r.Tests)
	return p.writeTo(w)
}

func (p *page) coating(k workshop.LearnedCoating, d *piece.Dilution, earlier []workshop.Earlier) {
	about := []string{string(k.Coating.Kind)}
	if k.Coating.PutOn != "" {
		about = append(about, string(k.Coating.PutOn))
	}
	p.line("  %s (%s, %s)", k.Coating.Name, strings.Join(about, ", "), d)
	if k.Limit.IsFinite() {
		p.line("           %s  %s   where nothing shows through", swatch(k.Limit), lab(k.Limit))
	}
	for i := range earlier {
		if earlier[i].Coating == k.Coating.Name {
			p.wrapped("    ", EarlierWords(&earlier[i]))
		}
	}
	p.warnings("    ", k.Report.Warnings)
}

// EarlierWords say what earlier pieces told of a coating.
func EarlierWords(e *workshop.Earlier) string {
	from := "from " + howMany(len(e.Pieces), "earlier piece", "earlier pieces") + " (" + strings.Join(e.Pieces, ", ") + "): "
	switch {
	case e.Results == 0:
		return from + "its own colour"
	case e.SameBatch == e.Results:
		return from + fmt.Sprintf("%s of this batch, %d on wood like this; they count as weak evidence", howMany(e.Results, "result", "results"), e.Alike)
	}
	return from + fmt.Sprintf("%s, %d of this batch, %d on wood like this; they count as weak evidence", howMany(e.Results, "result", "results"), e.SameBatch, e.Alike)
}

// title is an area's name, and what is known of it besides its colour.
func title(a piece.Area) string {
	if about := described(a); about != "" {
		return a.Name + " (" + about + ")"
	}
	return a.Name
}

func (p *page) areaPlan(a workshop.AreaPlan) {
	p.line("  %s", title(a.Area))
	p.shots(a.Views)
	p.laid(a.Laid)
	for _, c := range inOrder(a.Plan.Choices, a.Plan.Kind) {
		p.wrapped("    "+c.Kind+": ", choice(&c, a.Plan.Before))
	}
	if n := coatsIn(a.Plan.Coats); n > 0 {
		p.wrapped("    ", stopWords(a.Plan.StopAfter, n))
	}
	p.steps(a.Plan.Path, a.Plan.OneMore)
	p.line("    target %s  %s %5.1f", swatch(a.Plan.Target), lab(a.Plan.Target), a.Target.PlusMinus)
	end := a.Plan.Path[len(a.Plan.Path)-1].Lab
	switch {
	case a.Plan.Reachable && len(a.Plan.Coats) == 0:
		p.wrapped("    ", "it is there already; leave it")
	case a.Plan.Reachable:
		p.wrapped("    ", "then, beside the target: "+colour.DescribeDifference(a.Plan.Target, end))
	default:
		p.wrapped("    not within reach: ", a.Plan.Why)
	}
}

// laid holds what coats on the piece were to do against what they did.
func (p *page) laid(reports []workshop.LaidReport) {
	for i := range reports {
		r := &reports[i]
		var coats []string
		for _, c := range r.Coats {
			coats = append(coats, coatWords(c.Count)+" of "+c.Coating)
		}
		s := fmt.Sprintf("foreseen L* %.1f ± %.1f, measured %.1f: %s (ΔE00 %.1f)", r.Prediction.Predicted.L, r.Prediction.PlusMinus, r.Prediction.Measured.L,
			colour.DescribeDifference(r.Prediction.Predicted, r.Prediction.Measured), r.Prediction.DeltaE)
		p.wrapped("    after "+strings.Join(coats, ", then ")+": ", s)
		if len(r.Causes) > 0 {
			p.wrapped("    ! ", "that is more than was to be expected; it may be that "+strings.Join(r.Causes, "; or that "))
		}
	}
}

func (p *page) shots(shots []workshop.AreaView) {
	for _, s := range shots {
		p.line("    in %-9s %s  %s   %.1f ΔE00 from the first, ± %.1f is to be expected", s.Photo, swatch(s.Lab), lab(s.Lab), s.DeltaE, s.PlusMinus)
	}
}

// inOrder puts the choice of a kind first.
func inOrder(choices []plan.Choice, first string) (all []plan.Choice) {
	for _, c := range choices {
		if c.Kind == first {
			all = append([]plan.Choice{c}, all...)
		} else {
			all = append(all, c)
		}
	}
	return all
}

// choice says what a choice lays and where that ends.
func choice(c *plan.Choice, before float64) string {
	s := fmt.Sprintf("%s; then %s from the target, from %.1f", counted(c.Coats), spread(c.DeltaE), before)
	if len(c.Coats) == 0 {
		s = fmt.Sprintf("no coat: %s from the target as it is", spread(c.DeltaE))
	}
	for _, do := range c.Between {
		s += "; " + do
	}
	s += fmt.Sprintf("; within tolerance in %.0f of 100", 100*c.Within)
	return s + grainWords(c.Grain)
}

func grainWords(kept float64) string {
	if math.IsNaN(kept) {
		return ""
	}
	s := fmt.Sprintf("; %.0f %% of the grain kept", 100*kept)
	if kept < littleGrain {
		s += ": that is paint more than stain"
	}
	return s
}

// littleGrain is the share below which a wood looks painted. Our own choice.
const littleGrain = 0.25

func spread(s plan.Spread) string {
	if s.High-s.Low < 0.05 {
		return fmt.Sprintf("%.1f", s.Best)
	}
	return fmt.Sprintf("%.1f (%.1f–%.1f)", s.Best, s.Low, s.High)
}

func stopWords(after, coats int) string {
	switch {
	case after == 0:
		return "look hard before the first coat: it could go too far"
	case after < coats:
		return fmt.Sprintf("stop and look after coat %d: the next could go too far", after)
	default:
		return fmt.Sprintf("look after every coat; up to coat %d none is likely to go too far", coats)
	}
}

func coatsIn(coats []plan.CoatCount) (n int) {
	for _, c := range coats {
		n += c.Count
	}
	return n
}

// steps is a table of an area's colour after each coat, the one too many in brackets, and how far
// it then is from what it is to come to, with the range that holds 80 times in 100.
func (p *page) steps(path []plan.Step, beyond plan.Step) {
	p.line("    coats        colour                           ±   ΔE00   80 in 100  grain")
	for _, s := range path {
		p.step(s, fmt.Sprintf("%5d", s.Coats))
	}
	p.step(beyond, fmt.Sprintf("(%3d)", beyond.Coats))
}

func (p *page) step(s plan.Step, coats string) {
	grain := ""
	if !math.IsNaN(s.Grain) {
		grain = fmt.Sprintf("  %3.0f %%", 100*s.Grain)
	}
	held := fmt.Sprintf("%.1f–%.1f", s.Low, s.High)
	p.line("    %s  %s  %s %5.1f  %5.1f  %9s%s", coats, swatch(s.Lab), lab(s.Lab), s.PlusMinus, s.DeltaE, held, grain)
}

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
		p.wrapped("  ", fmt.Sprintf("nothing on the shelf lightens %s; where the others stay lighter than it, more coats would bring them down and cost them grain", m.Lightest))
	}
	chosen := &m.Choices[m.Chosen]
	p.line("")
	p.line("  common   %s  %s", swatch(chosen.Common), lab(chosen.Common))
	for _, a := range chosen.Areas {
		of := r.Named(a.Name)
		p.line("")
		p.line("  %s", title(of.Area))
		p.shots(of.Views)
		p.laid(of.Laid)
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
		s := fmt.Sprintf("%s %s", a.Name, coatWords(a.Coats))
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

func water(parts int) string {
	if parts == 0 {
		return ", not thinned"
	}
	return fmt.Sprintf(", %s of water", partWords(parts))
}

func (p *page) tests(tests []plan.TestAdvice) {
	p.line("")
	if len(tests) == 0 {
		p.wrapped("  what to test next: ", "nothing; no test coat would narrow these counts by much")
		return
	}
	for i, t := range tests {
		lead := "  what to test next: "
		if i > 0 {
			lead = "                 or: "
		}
		p.wrapped(lead, fmt.Sprintf("%s of %s on %s, half of it left bare: the counts, now open by %.1f coats, would be by about %.1f", coatWords(t.Coats), t.Coating, t.On, t.Now, t.Then))
	}
}

func partWords(n int) string {
	if n == 1 {
		return "1 part"
	}
	return fmt.Sprintf("%d parts", n)
}

func coatWords(n int) string {
	switch n {
	case 0:
		return "no coat"
	case 1:
		return "1 coat"
	}
	return fmt.Sprintf("%d coats", n)
}

// described is what is known of an area besides its colour: "ash, sealed".
func described(a piece.Area) string {
	var parts []string
	for _, s := range []string{a.Wood, a.Surface} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	if a.SizeM2 > 0 {
		parts = append(parts, fmt.Sprintf("%.2f m²", a.SizeM2))
	}
	return strings.Join(parts, ", ")
}

// counted says the coats of a plan in words, the undermost first, each with the range it may need:
// "2 coats of brown wash (2–3)".
func counted(coats []plan.CoatCount) string {
	if len(coats) == 0 {
		return "no coat"
	}
	var parts []string
	for _, c := range coats {
		parts = append(parts, fmt.Sprintf("%s of %s %s", coatWords(c.Count), c.Coating, rangeWords(c.Range)))
	}
	return strings.Join(parts, ", then ")
}

func rangeWords(r [2]int) string {
	if r[0] == r[1] {
		return fmt.Sprintf("(%d)", r[0])
	}
	return fmt.Sprintf("(%d–%d)", r[0], r[1])
}
