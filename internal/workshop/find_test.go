package workshop_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// Nothing given, the chart is found, and colours come out as by its true corners.
func TestMeasureFindsTheChart(t *testing.T) {
	req := ask(bench.Panel)
	byCorners, err := workshop.Measure(t.Context(), photos(), req)
	require.NoError(t, err)
	require.False(t, byCorners.Calibration.Found)
	for _, kind := range []string{"", "auto", "chart"} {
		req.Reference = piece.Reference{Kind: kind}
		found, err := workshop.Measure(t.Context(), photos(), req)
		require.NoError(t, err)
		cal := found.Calibration
		require.True(t, cal.Found)
		require.Equal(t, "chart", cal.Reference)
		require.False(t, cal.Relative)
		for i, c := range drawn().Corners {
			require.InDelta(t, c.X, cal.Corners[i].X, 2)
			require.InDelta(t, c.Y, cal.Corners[i].Y, 2)
		}
		require.InDelta(t, byCorners.Areas[0].Reading.Mean.L, found.Areas[0].Reading.Mean.L, 0.5)
	}
}
