package blend

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestThickness(t *testing.T) {
	brushed := &Coating{}
	require.InDelta(t, 3.5, brushed.Thickness(3.5, Bare, nil), 1e-12, "left on, coats add")

	wiped := &Coating{PutOn: Wiped, Carry: 0.5}
	require.InDelta(t, (1-0.125)/(1-0.5), wiped.Thickness(3, Sealed, nil), 1e-12, "(1 − cⁿ)/(1 − c)")
	require.Less(t, wiped.Thickness(100, Sealed, nil), 2+1e-9, "wiped coats never come to more than 1/(1 − c)")

	thirsty := &Coating{Uptake: 1.5, PorousUptake: 2}
	require.InDelta(t, 2.5, thirsty.Thickness(2, Bare, nil), 1e-12, "the first coat soaks in, the second does not")
	require.InDelta(t, 3, thirsty.Thickness(2, Porous, nil), 1e-12)
	for _, s := range []Surface{Sealed, ClearCoated, NonAbsorbing, ""} {
		require.InDelta(t, 2, thirsty.Thickness(2, s, nil), 1e-12, "%q takes up nothing", s)
	}
	require.InDelta(t, 1.2+0.8+1, brushed.Thickness(3, Sealed, []float64{1.2, 0.8}), 1e-12, "film factors")
}
