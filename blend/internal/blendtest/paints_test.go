package blendtest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
)

// The inversion at 550 nm, against figures we solved from the data with another program.
func TestTwoGroundsOfMeasuredPaints(t *testing.T) {
	p := ReadPalette(t)
	for sample, want := range map[string]blend.Film{
		"10D": {K: 0.70559, S: 0.27182}, "16A": {K: 0.00547, S: 0.14052},
		"16B": {K: 0.76114, S: 0.41927}, "17A": {K: 0.03166, S: 0.02828},
	} {
		got, ok := p.Film(sample, 550)
		require.True(t, ok, sample)
		require.InDelta(t, want.K, got.K, 6e-6, sample)
		require.InDelta(t, want.S, got.S, 6e-6, sample)
		i := (550 - 400) / 10
		require.InDelta(t, p[sample+"_ob"][i], got.Over(p[sample+"_b"][i], 1), 1e-12, "and laid again over black")
		require.InDelta(t, p[sample+"_ow"][i], got.Over(p[sample+"_w"][i], 1), 1e-12, "and over white")
	}
}
