package colourtest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// RequireLab holds two colours to be the same within so much in each coordinate.
func RequireLab(t *testing.T, want, got colour.Lab, within float64) {
	t.Helper()
	require.InDelta(t, want.L, got.L, within)
	require.InDelta(t, want.A, got.A, within)
	require.InDelta(t, want.B, got.B, within)
}
