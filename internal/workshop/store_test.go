package workshop_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A plan that was stored can be shown, laid out in time and stored again like the one that was made.
func TestPlansCanBeStored(t *testing.T) {
	files, p := twoPhotoPiece()
	p.Clear = &piece.Clear{Name: "varnish"}
	p.Areas[1].Laid = []piece.LaidCoats{{Coating: "nut-brown wash", Coats: 1, After: piece.ColourSource{Lab: []float64{38, 11, 16}}}}
	made, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: p})
	require.NoError(t, err)
	require.True(t, math.IsNaN(made.Areas[1].Plan.Path[0].Grain), "a typed colour has no grain, which JSON has no number for")
	data, err := workshop.Store(made)
	require.NoError(t, err)
	var stored workshop.PlanResult
	require.NoError(t, workshop.Restore(data, &stored))
	again, err := workshop.Store(&stored)
	require.NoError(t, err)
	require.JSONEq(t, string(data), string(again))
	require.True(t, math.IsNaN(stored.Areas[1].Plan.Path[0].Grain))
	require.Equal(t, made.Middle, stored.Middle)
	require.Equal(t, made.Read, stored.Read)
	require.Equal(t, made.Photos, stored.Photos)

	now := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	schedule, err := made.Schedule(time.Time{}, now)
	require.NoError(t, err)
	scheduled, err := stored.Schedule(time.Time{}, now)
	require.NoError(t, err)
	require.Equal(t, schedule.Steps, scheduled.Steps)
	opt := workshop.PreviewOptions{Width: 300, Clear: true}
	after, shown, err := previewOf(t, files, made, opt).After(t.Context(), "front")
	require.NoError(t, err)
	afterwards, shownThen, err := previewOf(t, files, &stored, opt).After(t.Context(), "front")
	require.NoError(t, err)
	require.Equal(t, shown, shownThen)
	require.Equal(t, after, afterwards)
}

func TestMeasurementsAndChecksCanBeStored(t *testing.T) {
	measured, err := workshop.Measure(t.Context(), photos(), ask(bench.Frame, bench.Panel))
	require.NoError(t, err)
	data, err := workshop.Store(measured)
	require.NoError(t, err)
	var stored workshop.MeasureResult
	require.NoError(t, workshop.Restore(data, &stored))
	require.Equal(t, *measured, stored)
}

// What is not a stored result is refused, and not half taken in.
func TestRestoreFaults(t *testing.T) {
	for _, text := range []string{``, `{`, `[]`, `{"Areas": {"Plan": 1}}`, `{"Finished": "yes"}`, `{"Middle": {"Seed": -1}}`} {
		var r workshop.PlanResult
		require.Error(t, workshop.Restore([]byte(text), &r), text)
	}
	var r workshop.PlanResult
	require.NoError(t, workshop.Restore([]byte(`{"Finished": true, "Middle": {"Seed": 18446744073709551615}}`), &r))
	require.Equal(t, uint64(math.MaxUint64), r.Middle.Seed)
	_, err := json.Marshal(math.NaN())
	require.Error(t, err, "which is why results are not stored by it alone")
}
