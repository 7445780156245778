package workshop

import (
	"huewright/imageio/chart"
	"huewright/internal/fault"
)

// What is to be done about a photo, in an Answer.
const (
	Good  = "good"  // measure from it
	Fair  = "fair"  // measure from it if another is hard to come by
	Again = "again" // take it again
)

// A Verdict says in one line whether a photo is good to measure from.
type Verdict struct {
	Answer string     // Good, Fair or Again
	Why    fault.Note // part of a sentence; empty for a good one
}

// The classes of how well a chart was read, by the mean error at a patch that is left out of the fit, ΔE00. Our own choice: a
// chart that lies flat in good light has about 2.
const (
	WellRead   = 3.0
	FairlyRead = 5.0
)

// hinders are the warnings that make a photo less than good, the gravest first, and why.
var hinders = []struct {
	warning fault.Code
	Verdict
}{
	{"photo.flash", Verdict{Again, fault.Say("verdict.flash")}},
	{"photo.night-mode", Verdict{Again, fault.Say("verdict.night")}},
	{"chart.shadow", Verdict{Again, fault.Say("verdict.shadow")}},
	{"chart.second-light", Verdict{Again, fault.Say("verdict.second-light")}},
	{"chart.hue-changes", Verdict{Again, fault.Say("verdict.second-light")}},
	{"chart.light-changes", Verdict{Again, fault.Say("verdict.chart-uneven")}},
	{"chart.not-used", Verdict{Again, fault.Say("verdict.not-used")}},
	{chart.Another, Verdict{Again, fault.Say("verdict.another-card")}},
	{"area.burnt-out", Verdict{Again, fault.Say("verdict.burnt-out")}},
	{"area.hardly-grey", Verdict{Again, fault.Say("verdict.hardly-grey")}},
	{"neutral.doubtful", Verdict{Again, fault.Say("verdict.hardly-grey")}},
	{"reading.uneven-card", Verdict{Again, fault.Say("verdict.uneven-card")}},
	{"photo.hdr-mode", Verdict{Fair, fault.Say("verdict.hdr")}},
	{"reading.uneven-light", Verdict{Fair, fault.Say("verdict.uneven")}},
	{"reading.uneven-light-few-slips", Verdict{Fair, fault.Say("verdict.uneven")}},
	{"area.uneven-light", Verdict{Fair, fault.Say("verdict.uneven")}},
	{"area.two-woods", Verdict{Fair, fault.Say("verdict.two-woods")}},
	{"area.two-parts", Verdict{Fair, fault.Say("verdict.two-parts")}},
	{"area.glare", Verdict{Fair, fault.Say("verdict.glare")}},
	{"patch.left-out", Verdict{Fair, fault.Say("verdict.left-out")}},
}

// Verdict says whether the photo is good to measure from, whatever is measured in it.
func (c *Calibration) Verdict() Verdict { return c.verdict(c.Warnings) }

// Verdict says whether the photo is good to measure these areas from.
func (r *MeasureResult) Verdict() Verdict {
	warnings := r.Calibration.Warnings
	for i := range r.Areas {
		warnings = append(warnings[:len(warnings):len(warnings)], r.Areas[i].Reading.Warnings...)
	}
	return r.Calibration.verdict(warnings)
}

// verdict is the gravest of what the warnings and the reference come to.
func (c *Calibration) verdict(warnings []fault.Note) Verdict {
	fair := Verdict{Answer: Good}
	if c.Reference == "chart" {
		switch error := c.Report.LOOMean; {
		case error > FairlyRead:
			fair = Verdict{Again, fault.Say("verdict.badly-read")}
		case error > WellRead:
			fair = Verdict{Fair, fault.Say("verdict.fairly-read")}
		}
	}
	for _, h := range hinders {
		for _, w := range warnings {
			switch {
			case w.Code != h.warning:
			case h.Answer == Again:
				return h.Verdict
			case fair.Answer == Good:
				fair = h.Verdict
			}
		}
	}
	if fair.Answer == Good && c.Relative {
		return Verdict{Fair, fault.Say("verdict.relative")}
	}
	return fair
}
