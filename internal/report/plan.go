package report

import (
	"fmt"
	"io"
	"strings"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/workshop"
)

type planJSON struct {
	Version  int            `json:"version"`
	Piece    string         `json:"piece"`
	Photos   []photoJSON    `json:"photos"`
	Coatings []coatingJSON  `json:"coatings"`
	Between  []pairJSON     `json:"between"` // each pair of photos
	Areas    []areaPlanJSON `json:"areas"`
	Warnings []string       `json:"warnings"`
}

type photoJSON struct {
	Name        string          `json:"name"`
	Calibration calibrationJSON `json:"calibration"`
}

// pairJSON says how far two photos agree.
type pairJSON struct {
	Photos    [2]string `json:"photos"`
	Tied      bool      `json:"tied"`
	PlusMinus num       `json:"plus_minus"` // of a difference between them, at a mid-brown wood
}

// shotJSON is one photo's reading of an area that several show.
type shotJSON struct {
	Photo     string `json:"photo"`
	Lab       [3]num `json:"lab"`
	DeltaE    num    `json:"delta_e"` // from the first photo's reading
	PlusMinus num    `json:"plus_minus"`
}

type coatingJSON struct {
	Name     string   `json:"name"`
	Kind     string   `json:"kind"`
	Dilution string   `json:"dilution"`
	Limit    *[3]num  `json:"limit"` // its colour where nothing shows through; null for a clear dye
	Warnings []string `json:"warnings"`
}

type areaPlanJSON struct {
	Name            string      `json:"name"`
	SizeM2          *num        `json:"size_m2"` // as given or measured; null when neither
	Start           [3]num      `json:"start"`
	StartPlusMinus  num         `json:"start_plus_minus"`
	Shots           []shotJSON  `json:"shots"` // what start is the average of; empty for one photo
	Target          [3]num      `json:"target"`
	TargetPlusMinus num         `json:"target_plus_minus"`
	Coats           []coatJSON  `json:"coats"`
	Path            []stepJSON  `json:"path"`
	Before          num         `json:"delta_e_before"`
	After           num         `json:"delta_e_after"`
	Reachable       bool        `json:"reachable"`
	Why             string      `json:"why"`
	OneMore         stepJSON    `json:"one_more"` // what one coat too many would do
	Options         []otherJSON `json:"options"`  // every coating by itself, nearest first
}

type coatJSON struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
}

type stepJSON struct {
	Coats     int    `json:"coats"`
	Lab       [3]num `json:"lab"`
	PlusMinus num    `json:"plus_minus"`
	DeltaE    num    `json:"delta_e"`
}

type otherJSON struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
	Lab     [3]num `json:"lab"`
	DeltaE  num    `json:"delta_e"`
}

func stepOf(s blend.Step, plusMinus float64) stepJSON {
	return stepJSON{s.Coats, triple(s.Lab), num(plusMinus), num(s.DeltaE)}
}

// PlanJSON writes a plan as JSON.
func PlanJSON(w io.Writer, r *workshop.PlanResult) error {
	out := planJSON{Version: version, Piece: r.Piece.Name, Photos: []photoJSON{}, Warnings: list(r.Warnings)}
	for _, p := range r.Photos {
		out.Photos = append(out.Photos, photoJSON{p.Name, calibrationOf(p.Calibration)})
	}
	out.Between = []pairJSON{}
	for _, p := range r.Between {
		out.Between = append(out.Between, pairJSON{p.Photos, p.Tied, num(p.PlusMinus)})
	}
	for i, k := range r.Coatings {
		c := coatingJSON{
			Name: k.Coating.Name, Kind: string(k.Coating.Kind),
			Dilution: r.Piece.Coatings[i].Dilution.String(), Warnings: list(k.Report.Warnings),
		}
		if k.Limit.IsFinite() {
			limit := triple(k.Limit)
			c.Limit = &limit
		}
		out.Coatings = append(out.Coatings, c)
	}
	for _, a := range r.Areas {
		out.Areas = append(out.Areas, areaPlanOf(a))
	}
	return write(w, out)
}

func areaPlanOf(a workshop.AreaPlan) areaPlanJSON {
	p := a.Plan
	out := areaPlanJSON{
		Name: a.Area.Name, Start: triple(a.Start.Lab), StartPlusMinus: num(a.Start.PlusMinus), Shots: []shotJSON{},
		Target: triple(a.Target.Lab), TargetPlusMinus: num(a.Target.PlusMinus),
		Coats: []coatJSON{}, Before: num(p.Before), After: num(p.After),
		Reachable: p.Reachable, Why: p.Why, OneMore: stepOf(p.Beyond, a.PlusMinus[len(p.Path)]), Options: []otherJSON{},
	}
	if a.Area.SizeM2 > 0 {
		out.SizeM2 = figure(a.Area.SizeM2)
	}
	for _, s := range a.Shots {
		out.Shots = append(out.Shots, shotJSON{s.Photo, triple(s.Lab), num(s.DeltaE), num(s.PlusMinus)})
	}
	for _, c := range p.Coats {
		out.Coats = append(out.Coats, coatJSON{c.Coating, c.Count})
	}
	for i, s := range p.Path {
		out.Path = append(out.Path, stepOf(s, a.PlusMinus[i]))
	}
	for _, o := range p.Options {
		out.Options = append(out.Options, otherJSON{o.Coating, o.Count, triple(o.Lab), num(o.DeltaE)})
	}
	return out
}

// PlanText writes a plan for a terminal.
func PlanText(w io.Writer, r *workshop.PlanResult) error {
	var p page
	p.line("%s", r.Piece.Name)
	for _, photo := range r.Photos {
		p.calibration("  "+photo.Name+": ", photo.Calibration)
	}
	for _, pair := range r.Between {
		if pair.Tied {
			p.line("  %s and %s agree within ± %.1f ΔE00 about a mid-brown wood", pair.Photos[0], pair.Photos[1], pair.PlusMinus)
		}
	}
	p.warnings("  ", r.Warnings)
	p.line("")
	for i, k := range r.Coatings {
		p.coating(k, r.Piece.Coatings[i].Dilution)
	}
	for _, a := range r.Areas {
		p.line("")
		p.areaPlan(a)
	}
	return p.writeTo(w)
}

func (p *page) coating(k workshop.LearnedCoating, d *workshop.Dilution) {
	p.line("  %s (%s, %s)", k.Coating.Name, k.Coating.Kind, d)
	if k.Limit.IsFinite() {
		p.line("           %s  %s   where nothing shows through", swatch(k.Limit), lab(k.Limit))
	}
	p.warnings("    ", k.Report.Warnings)
}

func (p *page) areaPlan(a workshop.AreaPlan) {
	title := "  " + a.Area.Name
	if about := described(a.Area); about != "" {
		title += " (" + about + ")"
	}
	p.line("%s: %s", title, counted(a.Plan.Coats))
	for _, s := range a.Shots {
		p.line("    in %-9s %s  %s   %.1f ΔE00 from the first, ± %.1f is to be expected", s.Photo, swatch(s.Lab), lab(s.Lab), s.DeltaE, s.PlusMinus)
	}
	p.line("    coats        colour                             ±   from target, ΔE00")
	for i, s := range a.Plan.Path {
		p.step(s, a.PlusMinus[i], fmt.Sprintf("%5d", s.Coats))
	}
	p.step(a.Plan.Beyond, a.PlusMinus[len(a.Plan.Path)], fmt.Sprintf("(%3d)", a.Plan.Beyond.Coats))
	p.line("    target %s  %s  %5.1f", swatch(a.Target.Lab), lab(a.Target.Lab), a.Target.PlusMinus)
	end := a.Plan.Path[len(a.Plan.Path)-1].Lab
	switch {
	case a.Plan.Reachable && len(a.Plan.Coats) == 0:
		p.wrapped("    ", "it is there already; leave it")
	case a.Plan.Reachable:
		p.wrapped("    ", "then, beside the target: "+colour.DescribeDifference(a.Target.Lab, end))
	default:
		p.wrapped("    not within reach: ", a.Plan.Why)
	}
}

func (p *page) step(s blend.Step, plusMinus float64, coats string) {
	p.line("    %s  %s  %s  %5.1f  %8.1f", coats, swatch(s.Lab), lab(s.Lab), plusMinus, s.DeltaE)
}

// described is what is known of an area besides its colour: "ash, sealed".
func described(a workshop.PieceArea) string {
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

// counted says the coats of a plan in words, the undermost first: "2 coats of brown wash".
func counted(coats []blend.CoatCount) string {
	if len(coats) == 0 {
		return "no coat"
	}
	var parts []string
	for _, c := range coats {
		unit := "coats"
		if c.Count == 1 {
			unit = "coat"
		}
		parts = append(parts, fmt.Sprintf("%d %s of %s", c.Count, unit, c.Coating))
	}
	return strings.Join(parts, ", then ")
}
