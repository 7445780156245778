package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

// plain is what a terminal without colours shows.
func plain(b *bytes.Buffer) string { return escapes.ReplaceAllString(b.String(), "") }

func measured() *workshop.MeasureResult {
	return &workshop.MeasureResult{
		Photo: "front.jpg",
		Calibration: workshop.Calibration{
			Reference: "none", Relative: true, Warnings: []fault.Note{fault.Saying("no reference in the photo")},
			Report: camera.Report{},
		},
		Areas: []workshop.AreaReading{
			{Name: "frame", Reading: colour.Reading{
				Mean: colour.Lab{L: 78.12, A: -0.00001, B: 19.06}, Spread: [3]float64{3.2, 0.8, 1.1},
				Ground: colour.Lab{L: 82, A: 3, B: 18}, Figure: colour.Lab{L: 71, A: 5, B: 21},
				Pixels: 9500, Dropped: colour.Dropped{Glare: 300, Gaps: 200}, PlusMinus: 2.04,
			}},
			{Name: "left panel", Reading: colour.Reading{
				Mean: colour.Lab{L: 45.4, A: 17.2, B: 20.1}, Pixels: 5000, PlusMinus: 1.9,
				Warnings: []fault.Note{fault.Saying("taken with flash: colours near the glare are off; take it again without")},
			}},
		},
	}
}

func TestMeasureText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.MeasureText(&b, measured()))
	lines := strings.Split(plain(&b), "\n")
	require.Equal(t, "front.jpg", lines[0])
	require.Equal(t, "  ! no reference in the photo", lines[2])
	require.Equal(t, "  frame             L*  78.1  a*   0.0  b*  19.1  ± 2.0", lines[4])
	require.Contains(t, plain(&b), "9500 pixels; left out: glare 3.0 %, gaps 2.0 %")
	require.Contains(t, plain(&b), "! taken with flash")
	frame, panel := strings.Index(lines[4], "L*"), strings.Index(lines[8], "L*")
	require.Equal(t, frame, panel, "the figures of all areas stand in one column")
}

// Every line must fit a terminal, swatches apart.
func TestTextIsNotTooWide(t *testing.T) {
	m := measured()
	m.Areas[1].Reading.Warnings = []fault.Note{fault.Saying("%s", strings.Repeat("so wide a warning that it must be wrapped ", 5))}
	var b bytes.Buffer
	require.NoError(t, report.Style{}.MeasureText(&b, m))
	require.NoError(t, report.Style{}.PlanText(&b, planned()))
	for _, line := range strings.Split(plain(&b), "\n") {
		require.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
	}
}

func TestSwatchIsTheColourItself(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.DifferenceText(&b, colour.Lab{L: 100}, colour.Lab{}, workshop.Difference{}))
	require.Contains(t, b.String(), "\x1b[48;2;255;255;255m")
	require.Contains(t, b.String(), "\x1b[48;2;0;0;0m")
}

func planned() *workshop.PlanResult {
	start, once, twice := colour.Lab{L: 78, A: 4, B: 19}, colour.Lab{L: 62, A: 9, B: 24}, colour.Lab{L: 52, A: 11, B: 23}
	only := plan.Choice{
		Kind: "balanced", Coats: []plan.CoatCount{{Coating: "brown dye", Count: 1, Range: [2]int{1, 2}}},
		DeltaE: plan.Spread{Best: 1.7, Low: 1.1, High: 3.9}, Within: 0.6, Grain: 0.8, StopAfter: 1,
	}
	return &workshop.PlanResult{
		Piece: piece.Piece{
			Name:     "hall bench",
			Coatings: []piece.Coating{{Dilution: &piece.Dilution{Paint: 1, Water: 4}}},
		},
		Coatings: []workshop.LearnedCoating{{
			Coating: &blend.Coating{Name: "brown dye", Kind: "dye"},
			Limit:   colour.Lab{L: math.NaN()},
		}},
		Areas: []workshop.AreaPlan{{
			Area:   piece.Area{Name: "frame", Wood: "ash", Surface: "sealed"},
			Start:  learn.Measured{Lab: start, PlusMinus: 1.5},
			Target: &learn.Measured{Lab: colour.Lab{L: 60, A: 9, B: 24}, PlusMinus: 1},
			Plan: &plan.AreaPlan{
				Choice:  only,
				Choices: []plan.Choice{only},
				Target:  colour.Lab{L: 60, A: 9, B: 24},
				Path: []plan.Step{
					{Coats: 0, Lab: start, PlusMinus: 1.5, DeltaE: 14.1, Low: 13, High: 15, Grain: 1},
					{Coats: 1, Lab: once, PlusMinus: 2, DeltaE: 1.7, Low: 1.1, High: 3.9, Grain: 0.8, Overshoot: 0.1},
				},
				Before: 14.1, After: 1.7, Reachable: true,
				OneMore: plan.Step{Coats: 2, Lab: twice, PlusMinus: 2.5, DeltaE: 7.2, Low: 5, High: 9, Grain: math.NaN()},
			},
		}},
	}
}

func TestPlanText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, planned()))
	text := plain(&b)
	require.Contains(t, text, "brown dye (dye, 1 part paint to 4 parts water)\n")
	require.NotContains(t, text, "NaN", "a clear dye has no colour where nothing shows through")
	require.Contains(t, text, "  frame (ash, sealed)\n    balanced: 1 coat of brown dye (1–2); then 1.7 (1.1–3.9) from the "+
		"target,\n              from 14.1; within tolerance in 60 of 100; 80 % of the grain kept\n")
	require.Contains(t, text, "(  2)", "the coat too many stands in brackets")
	require.Contains(t, text, "beside the target: a touch lighter")
}

func TestPlanTextSaysWhyNot(t *testing.T) {
	p := planned()
	p.Areas[0].Plan.Reachable, p.Areas[0].Plan.Why = false, "a dark wash cannot lighten"
	p.Areas[0].Plan.Coats, p.Areas[0].Plan.Path = nil, p.Areas[0].Plan.Path[:1]
	p.Areas[0].Plan.Choices[0].Coats = nil
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, p))
	require.Contains(t, plain(&b), "no coat: 1.7 (1.1–3.9) from the target as it is")
	require.Contains(t, plain(&b), "not within reach: a dark wash cannot lighten")
}

// What is not known is null in JSON, not zero and not NaN, which JSON cannot say.
func TestPlanJSONSaysWhatIsNotKnown(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.PlanJSON(&b, planned()))
	var v struct {
		Coatings []struct{ Limit *[3]float64 }
		Areas    []struct {
			Path    []struct{ Coats int }
			OneMore struct {
				Coats int `json:"coats"`
			} `json:"one_more"`
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &v))
	require.Nil(t, v.Coatings[0].Limit)
	require.Len(t, v.Areas[0].Path, 2)
	require.Equal(t, 2, v.Areas[0].OneMore.Coats)
}

func TestJSONRoundsAndKeepsListsLists(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.MeasureJSON(&b, measured()))
	require.NotContains(t, b.String(), "-0,", "minus zero is zero")
	require.Contains(t, b.String(), `"loo_delta_e": null`)
	require.Contains(t, b.String(), `"patches": []`)
	require.Contains(t, b.String(), `"warnings": []`)
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("broken pipe") }

func TestAFaultInWritingIsReported(t *testing.T) {
	require.Error(t, report.Style{}.MeasureText(brokenPipe{}, measured()))
	require.Error(t, report.MeasureJSON(brokenPipe{}, measured()))
	require.Error(t, report.Style{}.PlanText(brokenPipe{}, planned()))
	require.Error(t, report.PlanJSON(brokenPipe{}, planned()))
}
