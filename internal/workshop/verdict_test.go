package workshop_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

func TestVerdict(t *testing.T) {
	chart := func(error float64, warnings ...fault.Note) workshop.Calibration {
		return workshop.Calibration{Reference: "chart", Report: camera.Report{LOOMean: error}, Warnings: warnings}
	}
	for name, c := range map[string]struct {
		workshop.Calibration
		answer string
		why    fault.Code
	}{
		"well":                   {chart(2.1), workshop.Good, ""},
		"fairly":                 {chart(4), workshop.Fair, "verdict.fairly-read"},
		"badly":                  {chart(6), workshop.Again, "verdict.badly-read"},
		"flash":                  {chart(2, fault.Say("photo.flash")), workshop.Again, "verdict.flash"},
		"HDR":                    {chart(2, fault.Say("photo.hdr-mode")), workshop.Fair, "verdict.hdr"},
		"flash is graver":        {chart(2, fault.Say("photo.hdr-mode"), fault.Say("photo.flash")), workshop.Again, "verdict.flash"},
		"what hinders nothing":   {chart(2, fault.Say("photo.gain-map")), workshop.Good, ""},
		"nothing known":          {workshop.Calibration{Reference: "none", Relative: true}, workshop.Fair, "verdict.relative"},
		"tied to one that knows": {workshop.Calibration{Reference: "none"}, workshop.Good, ""},
	} {
		v := c.Verdict()
		require.Equal(t, c.answer, v.Answer, name)
		require.Equal(t, c.why, v.Why.Code, name)
	}
}

// What is wrong with an area counts in the photo that it was measured in.
func TestVerdictOnAreas(t *testing.T) {
	r := workshop.MeasureResult{
		Calibration: workshop.Calibration{Reference: "grey"},
		Areas: []workshop.AreaReading{
			{Name: "frame"}, {Name: "panel", Reading: colour.Reading{Warnings: []fault.Note{fault.Say("area.burnt-out", "share", 0.2)}}},
		},
	}
	require.Equal(t, workshop.Verdict{Answer: workshop.Again, Why: fault.Say("verdict.burnt-out")}, r.Verdict())
	r.Areas = r.Areas[:1]
	require.Equal(t, workshop.Good, r.Verdict().Answer)
}
