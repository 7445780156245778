package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
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
			Reference: "none", Relative: true, Warnings: []fault.Note{fault.Say("photo.relative-only")},
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
				Warnings: []fault.Note{fault.Say(fault.Said, "text", "Taken with flash: colours near the glare are off. Take it again without.")},
			}},
		},
	}
}

func TestMeasureText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.MeasureText(&b, measured()))
	lines := strings.Split(plain(&b), "\n")
	require.Equal(t, "front.jpg", lines[0])
	require.Equal(t, "  Usable: its colours can only be compared with each other.", lines[1])
	require.Equal(t, "  frame                L*  78.1  a*   0.0  b*  19.1  ± 2.0, good", lines[2])
	require.Contains(t, plain(&b), "! Taken with flash")
	require.Contains(t, plain(&b), "! No colour chart or white paper")
	require.NotContains(t, plain(&b), "9500 pixels")
	frame, panel := strings.Index(lines[2], "L*"), strings.Index(lines[3], "L*")
	require.Equal(t, frame, panel, "the figures of all areas stand in one column")

	b.Reset()
	require.NoError(t, report.Style{Full: true}.MeasureText(&b, measured()))
	require.Contains(t, said(&b), "9500 pixels; left out: glare 3.0 %, gaps 2.0 %")
}

// unshown stands for a swatch on a screen without colours: its hex code.
func unshown(b *bytes.Buffer) string { return swatches.ReplaceAllString(b.String(), "#7a5a40") }

var swatches = regexp.MustCompile("\x1b\\[48;2;[0-9;]*m {7}\x1b\\[0m")

// Every line fits the screen, whatever its width, with colours and without.
func TestTextIsNotTooWide(t *testing.T) {
	for _, width := range []int{0, 30, 40, 52, 60, 78} {
		for _, full := range []bool{false, true} {
			s := report.Style{Width: width, Full: full}
			m := measured()
			m.Areas[1].Reading.Warnings = []fault.Note{fault.Say(fault.Said, "text",
				strings.Repeat("so wide a warning that it must be wrapped ", 5))}
			var b bytes.Buffer
			for _, err := range []error{
				s.MeasureText(&b, m), s.MeasureText(&b, cabinetMeasured(byChart())), s.CompareText(&b, cabinetCompared("panel")),
				s.DifferenceText(&b, oldBoard, ash, difference(oldBoard, ash, 0)), s.SeveralText(&b, cabinetSeveral()),
				s.CheckText(&b, cornerChecked()), s.CheckPieceText(&b, cabinetChecked()), s.PlanText(&b, planned()),
				s.PlanText(&b, cabinetPlan()), s.PlanText(&b, cabinetMeeting()), s.TimetableText(&b, cabinetSchedule()),
				s.ScoresText(&b, scores()), s.FoundText(&b, near(), true, cet), s.FoundText(&b, found(), false, cet),
				s.HistoryText(&b, cabinetHistory(), cet), s.DriftText(&b, drift(true), cet), s.PreviewText(&b, previewFiles()),
				s.LabelText(&b, board(), cet),
			} {
				require.NoError(t, err)
			}
			most := width
			if width == 0 {
				most = report.UsualWidth
			}
			for _, line := range strings.Split(unshown(&b), "\n") {
				require.LessOrEqual(t, utf8.RuneCountInString(line), max(most, 40), "%d, %v: %s", width, full, line)
			}
		}
	}
}

// What is needed at the bench is short.
func TestPlanIsShort(t *testing.T) {
	for _, r := range []*workshop.PlanResult{planned(), cabinetMeeting()} { // a plan that has little to say, and one with much
		var b bytes.Buffer
		require.NoError(t, report.Style{}.PlanText(&b, r))
		require.LessOrEqual(t, strings.Count(b.String(), "\n"), 20, b.String())
	}
}

// It is short under long names too, each of which stands whole once.
func TestPlanIsShortUnderLongNames(t *testing.T) {
	names := map[string]string{
		"nut-brown wash": "thinned nut-brown wash of last spring, stirred from two tins",
		"amber glaze":    "amber glaze with a little black, from the shelf in the shed",
		"frame":          "frame of the upper cabinet with both doors, all of it of ash",
		"panel":          "panels of both doors and of both sides, of quartered sapele",
		"filled corner":  "lower left corner that was broken off and rebuilt in filler",
	}
	for _, make := range []func() *workshop.PlanResult{planned, cabinetMeeting} {
		r, short := make(), make()
		rename(reflect.ValueOf(r), names)
		var b, whole bytes.Buffer
		require.NoError(t, report.Style{}.PlanText(&b, r))
		require.LessOrEqual(t, strings.Count(b.String(), "\n"), 20, b.String())
		require.NoError(t, report.Style{}.PlanText(&whole, short))
		text := strings.Join(strings.Fields(b.String()), " ")
		for name, long := range names {
			if strings.Contains(whole.String(), name) {
				require.Equal(t, 1, strings.Count(text, long), "%s in\n%s", long, b.String())
			}
		}
	}
}

// rename writes other names in place of those that stand anywhere in a value that v points to.
func rename(v reflect.Value, names map[string]string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			rename(v.Elem(), names)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				rename(v.Field(i), names)
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			rename(v.Index(i), names)
		}
	case reflect.String:
		if other, known := names[v.String()]; known {
			v.SetString(other)
		}
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
	path := []plan.Step{
		{Coats: 0, Lab: start, PlusMinus: 1.5, DeltaE: 14.1, Low: 13, High: 15, Grain: 1},
		{Coats: 1, Lab: once, PlusMinus: 2, DeltaE: 1.7, Low: 1.1, High: 3.9, Grain: 0.8, Overshoot: 0.1},
	}
	frame := onArea("frame", colour.Lab{L: 60, A: 9, B: 24}, path,
		plan.Step{Coats: 2, Lab: twice, PlusMinus: 2.5, DeltaE: 7.2, Low: 5, High: 9, Grain: math.NaN()},
		[]plan.CoatCount{{Coating: "brown dye", Count: 1, Range: [2]int{1, 2}}}, 0.8, 1)
	frame.ToTarget, frame.Reachable, frame.Lamp = true, true, byLamp(frame.Aim, once)
	choices := []plan.Choice{choiceOf(frame)}
	return &workshop.PlanResult{
		Piece: piece.Piece{
			Name:     "hall bench",
			Coatings: []piece.Coating{{Name: "brown dye", Kind: "dye", Dilution: &piece.Dilution{Paint: 1, Water: 4}}},
		},
		Coatings: []workshop.LearnedCoating{{
			Coating: &blend.Coating{Name: "brown dye", Kind: "dye"},
			Limit:   colour.Lab{L: math.NaN()},
		}},
		Areas: []workshop.AreaPlan{{
			Area:   piece.Area{Name: "frame", Wood: "ash", Surface: "sealed"},
			Start:  learn.Measured{Lab: start, PlusMinus: 1.5},
			Target: &learn.Measured{Lab: colour.Lab{L: 60, A: 9, B: 24}, PlusMinus: 1},
			Plan:   &choices[0].Areas[0],
		}},
		Choices: choices,
	}
}

func TestPlanText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, planned()))
	text := plain(&b)
	require.Contains(t, text, "hall bench: brown dye, 1 part paint to 4 parts water\n")
	require.Contains(t, text, "  frame  1 coat (1 to 2)\n\n"+
		"Check after each coat.\nSide by side the frame will pass for the target (ΔE00 1.7, now 14.1). By a\n"+
		"warm lamp the frame and the target will differ as by day (about ΔE00 2.0, by\nday 1.7). "+
		"A guess from three numbers. Grain: clear (80 %).\n")

	b.Reset()
	require.NoError(t, report.Style{Full: true}.PlanText(&b, planned()))
	text = plain(&b)
	require.NotContains(t, text, "NaN", "a clear dye has no colour where nothing shows through")
	require.Contains(t, said(&b), "It will end close enough to the target 44 times in 100.")
	require.Contains(t, text, "(  2)", "the coat too many stands in brackets")
}

func TestPlanTextSaysWhyNot(t *testing.T) {
	p := planned()
	p.Areas[0].Plan.Reachable, p.Areas[0].Plan.Why, p.Areas[0].Plan.After = false, []fault.Note{fault.Say("plan.nothing-lightens")},
		plan.Spread{Median: 9}
	p.Areas[0].Plan.Coats, p.Areas[0].Plan.Path = nil, p.Areas[0].Plan.Path[:1]
	var b bytes.Buffer
	require.NoError(t, report.Style{Full: true}.PlanText(&b, p))
	require.Contains(t, said(&b), "frame no coat Nothing here helps the frame: from across the room it is much lighter")
	require.Contains(t, plain(&b), "The target is out of reach. No coating here makes this wood lighter;")
}

// An area that the layers leave out is not called one that nothing helps, and a number of coats that is given has no chance.
func TestPlanTextOfLayers(t *testing.T) {
	r := planned()
	r.Piece.Layers = []piece.Layer{{Coating: "brown dye", Areas: []string{"panel"}, Coats: 2}}
	r.Areas[0].Plan.Coats, r.Areas[0].Plan.Path, r.Areas[0].Plan.After = nil, r.Areas[0].Plan.Path[:1], plan.Spread{Median: 14.1}
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, r))
	require.Contains(t, said(&b), "No layer goes on the frame. From across the room it stays much lighter")
	require.Contains(t, said(&b), "Sure to: colours ± 2. ")

	r.Piece.Layers[0].Areas, r.Piece.Layers[0].Coats = nil, "plan"
	b.Reset()
	require.NoError(t, report.Style{}.PlanText(&b, r))
	require.Contains(t, said(&b), "Nothing here helps the frame: from across the room it is much lighter")
	require.Contains(t, said(&b), "counts hold 8 times in 10.")
}

// No two sentences in a row say from where a difference is seen, and areas that stop after the same coat are told together.
func TestPlanTextSaysThingsOnce(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, cabinetPlan()))
	require.Equal(t, 1, strings.Count(said(&b), "At arm's length"))
	require.Contains(t, said(&b), "The filled corner will also be clearly lighter and a little less red than the target")

	r := cabinetPlan()
	r.Areas[2].Plan.StopAfter, r.Areas[2].Plan.Coats = 2, washes(3, 3, 3)
	b.Reset()
	require.NoError(t, report.Style{}.PlanText(&b, r))
	require.Contains(t, said(&b), "Stop and take a photo after coat 2 on the frame and the filled corner.")
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

// Both lights are told, of the two that differ most by the lamp, with their direction there.
func TestLampWords(t *testing.T) {
	r := planned()
	a := r.Areas[0].Plan
	says := func(lamp, day float64) string {
		a.After.Median, a.Lamp.DeltaE.Median = day, lamp
		return report.Style{}.LampWords(r)
	}
	a.Lamp.Of = [2]colour.Lab{{L: 60, A: 9, B: 24}, {L: 60, A: 13, B: 24}}
	require.Equal(t, "By a warm lamp the frame will be a little redder and a touch stronger than the target (about ΔE00 3.1, by day 1.2). "+
		"A guess from three numbers.", says(3.1, 1.2))
	require.Contains(t, says(1.2, 3.1), "will be closer (about ΔE00 1.2, by day 3.1)")
	require.Contains(t, says(3.1, 3.0), "will differ as by day (about ΔE00 3.1, by day 3.0)")
	require.Contains(t, says(0.3, 2.0), "nobody will see a difference")
	a.ToTarget = false
	require.Empty(t, says(3.1, 1.2), "one area without a target is compared with nothing")

	r = cabinetMeeting()
	pair := &r.Choices[0].Pairs[0]
	pair.Lamp.DeltaE.Median, pair.After.Median = 9, 1
	pair.Lamp.Of = [2]colour.Lab{{L: 40, A: 9, B: 20}, {L: 50, A: 9, B: 20}}
	require.Contains(t, report.Style{}.LampWords(r), "the "+pair.Areas[1]+" will be clearly lighter than the "+pair.Areas[0],
		"of two woods the lighter is named first")
	pair.Lamp.Of[0], pair.Lamp.Of[1] = pair.Lamp.Of[1], pair.Lamp.Of[0]
	require.Contains(t, report.Style{}.LampWords(r), "the "+pair.Areas[0]+" will be clearly lighter than the "+pair.Areas[1])
}
