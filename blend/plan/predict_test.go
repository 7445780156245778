package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// What is beyond what was to be expected is called a surprise, and what explains it best stands first.
func TestPredict(t *testing.T) {
	sealed := wood{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}
	wet := func(c colour.Lab) colour.Lab {
		s := spectra.PriorSpectrum(c)
		seen := blend.ClearCoat{Wetting: 0.8}.Over(&s)
		return seen.Lab()
	}
	for name, c := range map[string]struct {
		seen     colour.Lab
		surprise fault.Code // "" for none
	}{
		"as said":      {blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 2), ""},
		"a little off": {blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 2.2), ""},
		"half as much": {blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 0.6), "plan.thin-mix"},
		"much more":    {blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 6), "plan.strong-mix"},
		"not dry":      {wet(blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 2)), "plan.still-wet"},
		"other wood":   {blendtest.ColourOver(blendtest.RedWash, colour.Lab{L: 68, A: -4, B: 36}, 2), "plan.other-wood"},
		"another tin":  {blendtest.ColourOver(blendtest.MudGlaze, blendtest.Ash, 2), "plan.other-coating"},
	} {
		problem, colours := pieceOf([]wood{sealed})
		colours = append(colours, c.seen)
		w := scattered(64, 0.1, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze}, colours)
		f, err := Predict(t.Context(), w, problem.Areas[0], []Layer{{0, 2}}, len(colours)-1)
		require.NoError(t, err)
		require.Equal(t, c.surprise != "", f.Surprise(), "%s: %.1f off, ± %.1f", name, f.DeltaE, f.PlusMinus)
		t.Logf("%s: %.1f off, ± %.1f: %v", name, f.DeltaE, f.PlusMinus, f.causes)
		if c.surprise == "" {
			require.Empty(t, f.causes)
			continue
		}
		require.Equal(t, c.surprise, f.Causes()[0].Code, name)
		share := 0.0
		for i, cause := range f.causes {
			share += cause.share
			require.True(t, i == 0 || cause.share <= f.causes[i-1].share)
		}
		require.LessOrEqual(t, share, 1+1e-9)
	}
}
