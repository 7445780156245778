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
		q := &r.Prediction
		p.wrapped("    after "+coatsOn(r.Coats)+": ", fmt.Sprintf("foreseen L* %.1f ± %.1f, measured %.1f: %s (ΔE00 %.1f)",
			q.Predicted.L, q.PlusMinus, q.Measured.L, colour.DescribeDifference(q.Predicted, q.Measured), q.DeltaE))
		if len(r.Causes) > 0 {
			p.wrapped("    ! ", "that is more than was to be expected; it may be that "+strings.Join(r.Causes, "; or that "))
		}
	}
}

// readings are those of an area that several photos show.
func (p *page) readings(shots []workshop.AreaView) {
	for _, s := range shots {
		p.line("    in %-9s %s  %s   %.1f ΔE00 from the first, ± %.1f is to be expected",
			s.Photo, swatch(s.Lab), lab(s.Lab), s.DeltaE, s.PlusMinus)
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

type coatJSON struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
	Range   [2]int `json:"range"` // 80 times in 100
}

type stepJSON struct {
	Coats     int    `json:"coats"`
	Coating   string `json:"coating"`
	Lab       [3]num `json:"lab"`
	PlusMinus num    `json:"plus_minus"`
	DeltaE    num    `json:"delta_e"`
	Range     [2]num `json:"delta_e_range"` // 80 times in 100
	Grain     num    `json:"grain"`         // share kept; null where not known
	Overshoot num    `json:"overshoot"`     // chance that this coat leads away again
}

type spreadJSON struct {
	Best  num    `json:"best"`
	Range [2]num `json:"range"` // 80 times in 100
}

func spreadOf(s plan.Spread) spreadJSON {
	return spreadJSON{num(s.Best), [2]num{num(s.Low), num(s.High)}}
}

func stepOf(s plan.Step) stepJSON {
	return stepJSON{
		s.Coats, s.Coating, triple(s.Lab), num(s.PlusMinus), num(s.DeltaE), [2]num{num(s.Low), num(s.High)}, num(s.Grain),
		num(s.Overshoot),
	}
}

func stepsOf(path []plan.Step) []stepJSON {
	steps := []stepJSON{}
	for _, s := range path {
		steps = append(steps, stepOf(s))
	}
	return steps
}

func coatsOf(coats []plan.CoatCount) []coatJSON {
	all := []coatJSON{}
	for _, c := range coats {
		all = append(all, coatJSON{c.Coating, c.Count, c.Range})
	}
	return all
}
