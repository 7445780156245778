package report_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// said is a text without swatches and line breaks.
func said(b *bytes.Buffer) string { return strings.Join(strings.Fields(plain(b)), " ") }

// Up to 0.8 half of all people see no difference, up to 1.8 half of them let it pass: Paravina et al. (2015). What is seen from
// further away is our own choice.
func TestHowVisibleADifferenceIs(t *testing.T) {
	for _, c := range []struct {
		deltaE float64
		says   string
	}{
		{0, "Nobody would see a difference"}, {0.79, "Nobody would see a difference"}, {0.8, "They pass side by side"},
		{1.79, "They pass side by side"}, {1.8, "You would see it close up"}, {3.99, "You would see it close up"},
		{4, "You would see it at arm's length"}, {7.99, "You would see it at arm's length"}, {8, "You would see it from across the room"},
		{100, "You would see it from across the room"},
	} {
		var b bytes.Buffer
		require.NoError(t, report.Style{}.DifferenceText(&b, oldBoard, ash, workshop.Difference{DeltaE2000: c.deltaE}))
		require.Contains(t, said(&b), c.says+" (CIEDE2000 ", "%v", c.deltaE)
	}
}

func TestGrainInWords(t *testing.T) {
	for kept, says := range map[float64]string{
		1: "Grain: clear (100 %).", 0.8: "Grain: clear (80 %).", 0.56: "Grain: softened (56 %).", 0.49: "Grain: faint (49 %).",
		0.17: "Grain: painted over (17 %).", 0: "Grain: painted over (0 %).",
	} {
		p := planned()
		p.Areas[0].Plan.Grain = kept
		var b bytes.Buffer
		require.NoError(t, report.Style{}.PlanText(&b, p))
		require.Contains(t, said(&b), says)
	}
	p := planned()
	p.Areas[0].Plan.Grain = math.NaN()
	var b bytes.Buffer
	require.NoError(t, report.Style{}.PlanText(&b, p))
	require.NotContains(t, said(&b), "Grain", "nothing is known of it")
}

// The direction goes with the word: the lighter of two is the lighter one in the sentence, whichever is named first.
func TestDirectionOfADifference(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Style{}.DifferenceText(&b, oldBoard, ash, difference(oldBoard, ash, 0)))
	require.Contains(t, said(&b), "The second colour is much lighter and less red than the first colour.")
	b.Reset()
	require.NoError(t, report.Style{}.DifferenceText(&b, ash, oldBoard, difference(ash, oldBoard, 0)))
	require.Contains(t, said(&b), "The second colour is much darker and redder than the first colour.")
	b.Reset()
	require.NoError(t, report.Style{}.DifferenceText(&b, ash, ash, workshop.Difference{}))
	require.Contains(t, said(&b), "The second colour and the first colour look alike. Nobody would see a difference")
}

// US units stand in areas' titles, in amounts and in distances; small areas never read as none.
func TestUnitsOfThePiece(t *testing.T) {
	r := cabinetPlan()
	r.Areas[0].Area.SizeM2, r.Areas[1].Area.SizeM2 = 0.0012, 0.031
	var b bytes.Buffer
	require.NoError(t, report.Style{Full: true}.PlanText(&b, r))
	require.Contains(t, said(&b), "frame (ash, sealed, 12 cm²)")
	require.Contains(t, said(&b), "270 ml of nut-brown wash: 54 ml paint and 216 ml water")

	r.Piece.Units = "us"
	b.Reset()
	require.NoError(t, report.Style{Full: true}.PlanText(&b, r))
	require.Contains(t, said(&b), "frame (ash, sealed, 1.9 in²)")
	require.Contains(t, said(&b), "panel (sapele, clear-coated, 48 in²)")
	require.Contains(t, said(&b), "9.1 fl oz of nut-brown wash: 1.8 fl oz paint and 7.3 fl oz water")
	for _, metric := range []string{" ml", " cm²", "0.00"} {
		require.NotContains(t, said(&b), metric)
	}
}

// What nobody predicted and what nothing ties is null in JSON, and has no ± in text.
func TestWhatIsNotKnownHasNoFigure(t *testing.T) {
	r := cabinetPlan()
	r.Areas[0].Laid = framePast()[:1]
	r.Areas[0].Laid[0].Prediction.PlusMinus, r.Areas[0].Laid[0].Prediction.Predicted = 0, colour.Lab{}
	var b bytes.Buffer
	require.NoError(t, report.PlanJSON(&b, r))
	var v struct {
		Between []struct {
			Tied      bool
			PlusMinus *float64 `json:"plus_minus"`
		}
		Areas []struct {
			Laid []struct {
				Foreseen  *[3]float64
				PlusMinus *float64 `json:"plus_minus"`
				DeltaE    *float64 `json:"delta_e"`
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &v))
	require.True(t, v.Between[0].Tied)
	require.InDelta(t, 1.24, *v.Between[0].PlusMinus, 1e-9)
	require.False(t, v.Between[1].Tied)
	require.Nil(t, v.Between[1].PlusMinus)
	laid := v.Areas[0].Laid[0]
	require.Nil(t, laid.Foreseen)
	require.Nil(t, laid.PlusMinus)
	require.Nil(t, laid.DeltaE)

	b.Reset()
	require.NoError(t, report.Style{}.PlanText(&b, r))
	require.Contains(t, said(&b), "Nothing was predicted of the frame after 1 coat of nut-brown wash.")
	require.NotContains(t, said(&b), "± 0.0")
}
