package report

import (
	"io"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// PlanText writes a plan for a terminal.
func (s Style) PlanText(w io.Writer, r *workshop.PlanResult) error {
	p := page{Style: s}
	p.line("%s", r.Piece.Name)
	for _, photo := range r.Photos {
		p.calibration("  "+photo.Name+": ", photo.Calibration)
	}
	p.agreements(r.Between)
	p.warnings("  ", r.Warnings)
	if r.Pieces > 0 {
		p.wrapped("  ", s.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces))
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
			p.wrapped("    ", p.EarlierWords(&earlier[i]))
		}
	}
	p.warnings("    ", k.Report.Warnings)
}

func (p *page) areaPlan(a workshop.AreaPlan) {
	p.line("  %s", title(a.Area))
	p.readings(a.Views)
	p.predictions(a.Laid)
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
		p.wrapped(lead, p.TestWords(&t))
	}
}
