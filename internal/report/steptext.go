package report

import (
	"fmt"
	"math"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/workshop"
)

// predictions holds what coats on the piece were to do against what they did.
func (p *page) predictions(reports []workshop.LaidReport) {
	for i := range reports {
		r := &reports[i]
		s := fmt.Sprintf("foreseen L* %.1f ± %.1f, measured %.1f: %s (ΔE00 %.1f)", r.Prediction.Predicted.L, r.Prediction.PlusMinus, r.Prediction.Measured.L,
			colour.DescribeDifference(r.Prediction.Predicted, r.Prediction.Measured), r.Prediction.DeltaE)
		p.wrapped("    after "+coatsOn(r.Coats)+": ", s)
		if len(r.Causes) > 0 {
			p.wrapped("    ! ", "that is more than was to be expected; it may be that "+strings.Join(r.Causes, "; or that "))
		}
	}
}

// readings are those of an area that several photos show.
func (p *page) readings(shots []workshop.AreaView) {
	for _, s := range shots {
		p.line(
			"    in %-9s %s  %s   %.1f ΔE00 from the first, ± %.1f is to be expected", s.Photo, swatch(s.Lab), lab(s.Lab), s.DeltaE,
			s.PlusMinus,
		)
	}
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
