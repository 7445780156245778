package learn

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A wood that is wetted as much as a tested spot was is taken back to its dry colour; without a test it is less sure. What is under
// a clear coat already is as wet as it gets.
func TestDry(t *testing.T) {
	truth := blend.ClearCoat{Wetting: 0.6, Amber: 0.03}
	under := func(c blend.ClearCoat, wood colour.Lab) colour.Lab {
		s := spectra.PriorSpectrum(wood)
		s = c.Over(&s)
		return s.Lab()
	}
	spot := ClearSpot{Measured{Lab: blendtest.Oak}, Measured{Lab: under(truth, blendtest.Oak)}}
	tested := ClearEvidence{Spots: []ClearSpot{spot, {Measured{Lab: blendtest.Walnut}, Measured{Lab: under(truth, blendtest.Walnut)}}}}
	wet := WetReading{Measured: Measured{Key: "ash", Lab: under(blend.ClearCoat{Wetting: 0.6}, blendtest.Ash), PlusMinus: 1}}
	finished := WetReading{Measured: Measured{Lab: under(truth, blendtest.Sapele)}, Amber: true}
	done := WetReading{Measured: Measured{Lab: blendtest.Oak, PlusMinus: 1}, On: blend.ClearCoated}
	known, err := tested.Dry(t.Context(), []WetReading{wet, finished, done, wet}, nil)
	require.NoError(t, err)
	require.Less(t, colour.DeltaE2000(blendtest.Ash, known[0].Lab), 1.0)
	require.Less(t, colour.DeltaE2000(blendtest.Sapele, known[1].Lab), 1.0)
	require.Less(t, colour.DeltaE2000(blendtest.Oak, known[2].Lab), 0.01)
	require.Equal(t, "ash dry", known[0].Key)
	require.Equal(t, known[0], known[3])
	guessed, err := (&ClearEvidence{}).Dry(t.Context(), []WetReading{wet}, nil)
	require.NoError(t, err)
	require.Greater(t, known[0].PlusMinus, wet.PlusMinus)
	require.Greater(t, guessed[0].PlusMinus, known[0].PlusMinus+1)
	require.Less(t, colour.DeltaE2000(blendtest.Ash, guessed[0].Lab), guessed[0].PlusMinus)
	t.Logf("ash wetted, ±1: dry within ±%.1f with a tested spot, ±%.1f without", known[0].PlusMinus, guessed[0].PlusMinus)
}
