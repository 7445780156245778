package report

import (
	"fmt"
	"io"
	"math"
	"time"

	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

// What is written for scripts, where Style.Quiet is set: a line for each area or repair, its name first and a tab behind it, in
// no particular width, and nothing else; of what was done or is to be done, a line for each, the time first.

// quietLine writes what is said of something by its name; both are one line.
func (p *page) quietLine(name, says string) { p.line("%s\t%s", name, says) }

// quietLab is a colour and its ± without a swatch.
func quietLab(c colour.Lab, plusMinus float64) string {
	tenth := func(v float64) float64 { return math.Round(10*v)/10 + 0 } // −0 becomes 0
	return fmt.Sprintf("%.1f %.1f %.1f ± %.1f", tenth(c.L), tenth(c.A), tenth(c.B), plusMinus)
}

func (s Style) quietMeasure(w io.Writer, m *workshop.MeasureResult) error {
	p := page{Style: s}
	for i := range m.Areas {
		p.quietLine(m.Areas[i].Name, quietLab(m.Areas[i].Reading.Mean, m.Areas[i].Reading.PlusMinus))
	}
	return p.writeTo(w)
}

// quietSeveral has the photo before each area; of a photo that could not be read, why.
func (s Style) quietSeveral(w io.Writer, r *workshop.SeveralResult) error {
	p := page{Style: s}
	for _, photo := range r.Photos {
		if photo.Err != nil {
			says, _ := p.Fault(withoutFile(photo.Err, photo.Photo))
			p.quietLine(photo.Photo, says)
			continue
		}
		for _, a := range photo.Result.Areas {
			p.quietLine(photo.Photo+"\t"+a.Name, quietLab(a.Reading.Mean, a.Reading.PlusMinus))
		}
	}
	return p.writeTo(w)
}

// withoutFile is an error without the file it was found in, where that is named before it.
func withoutFile(err error, file string) error {
	f := fault.Of(err)
	if f == nil || f.Place.File != file {
		return err
	}
	g := *f
	g.Place = fault.Place{Area: f.Place.Area}
	return &g
}

// quietCompare has CIEDE2000 and its ±, without the target where that is an area.
func (s Style) quietCompare(w io.Writer, c *workshop.CompareResult) error {
	p := page{Style: s}
	for i := range c.Areas {
		if c.Areas[i].Name != c.TargetName {
			p.quietLine(c.Areas[i].Name, fmt.Sprintf("%.1f ± %.1f", c.Differences[i].DeltaE2000, c.Differences[i].PlusMinus))
		}
	}
	return p.writeTo(w)
}

func (s Style) quietCheck(w io.Writer, all []workshop.RepairChecked) error {
	p := page{Style: s}
	for _, r := range all {
		if r.Err != nil {
			says, _ := p.Fault(r.Err)
			p.quietLine(r.Name, says)
			continue
		}
		p.quietLine(r.Name, string(r.Result.Verdict))
	}
	return p.writeTo(w)
}

// quietPlan has the coats of each area, of the counts that somebody named where there are any.
func (s Style) quietPlan(w io.Writer, r *workshop.PlanResult) error {
	p := page{Style: s.Of(&r.Piece)}
	chosen := &r.Choices[0]
	if r.WhatIf != nil {
		chosen = &r.WhatIf.Choice
	}
	for i := range chosen.Areas {
		p.quietLine(chosen.Areas[i].Name, p.counted(chosen.Areas[i].Coats, plannedCoatings(r) == 1))
	}
	return p.writeTo(w)
}

// quietTimetable has the steps, and then the cautions that matter most, which no answer leaves out, with "caution" in place of the time.
func (s Style) quietTimetable(w io.Writer, r *workshop.Schedule) error {
	p := page{Style: s}
	for i := range r.Steps {
		p.quietLine(r.Steps[i].At.Format(time.RFC3339), p.stepWords(&r.Steps[i]))
	}
	most := schedule.MattersMost("", r.Cautions)
	for i := range most {
		p.quietLine("caution", p.caution(&most[i]))
	}
	return p.writeTo(w)
}

// quietHistory has the entries that stand, each with its area, "" for the whole piece.
func (s Style) quietHistory(w io.Writer, h *record.History, zone *time.Location) error {
	p := page{Style: s}
	stands := h.Stands()
	for i := range stands {
		p.quietLine(stands[i].At.In(zone).Format(time.RFC3339)+"\t"+stands[i].Area, s.Described(&stands[i]))
	}
	return p.writeTo(w)
}
