package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A stain is wiped on once, perhaps twice, where it soaks in; what is sealed, filled or clear-coated gets none. Common practice, no
// source.
func TestStainIsOneCoatOrTwo(t *testing.T) {
	stain := *blendtest.BrownDye
	stain.Kind, stain.Family, stain.PutOn = "stain", blend.OilBorne, blend.Wiped
	for _, c := range []struct {
		on     blend.Surface
		laid   int
		counts []int
	}{
		{blend.Bare, 0, []int{1, 2}}, {blend.Porous, 0, []int{1, 2}}, {"", 0, []int{1, 2}}, {blend.Bare, 1, []int{0, 1}},
		{blend.Bare, 2, []int{0}},
		{blend.Sealed, 0, []int{0}}, {blend.NonAbsorbing, 0, []int{0}}, {blend.ClearCoated, 0, []int{0}},
	} {
		w := &learn.Samples{Best: learn.Sample{
			Colours: []spectra.Spectrum{anySpectrum(maple), anySpectrum(colour.Lab{L: 20, A: 6, B: 8})}, Coatings: []blend.Coating{stain},
			BoardToPiece: []float64{1},
		}}
		area := Area{Surface: c.on, Mean: 0, Light: None, Dark: None, Target: 1}
		if c.laid > 0 {
			area.Laid = []Layer{{0, c.laid}}
		}
		plan, err := Make(t.Context(), w, Problem{Areas: []Area{area}, Options: Options{Price: cheap}})
		require.NoError(t, err)
		got := 0
		for _, k := range plan.Choices[0].Areas[0].Coats {
			got += k.Count
		}
		require.Contains(t, c.counts, got, "%q with %d laid", c.on, c.laid)
	}
}
