package workshop_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/contexttest"
	"huewright/internal/workshop"
)

// Every use case ends with its context: one that has ended beforehand, and one that ends in the middle.
func TestUseCasesStop(t *testing.T) {
	drawn()
	files := inMemory{"front.jpg": photos()["front.jpg"], "cabinet.toml": cabinetFile()}
	piece, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(t, err)
	spot := workshop.CheckRequest{RepairView: workshop.RepairView{Photo: "front.jpg", Reference: chart(),
		Repair: drawn().Area(bench.Corner).Outline}}
	for name, use := range map[string]func(ctx context.Context) (any, error){
		"measure": func(ctx context.Context) (any, error) {
			return workshop.Measure(ctx, files, ask(bench.Frame, bench.Panel))
		},
		"several": func(ctx context.Context) (any, error) {
			return workshop.MeasureSeveral(ctx, files, workshop.SeveralRequest{Photos: []workshop.MeasureRequest{ask(bench.Frame)}})
		},
		"compare": func(ctx context.Context) (any, error) {
			return workshop.Compare(ctx, files, workshop.CompareRequest{MeasureRequest: ask(bench.Frame, bench.Panel), Target: bench.Frame})
		},
		"plan": func(ctx context.Context) (any, error) {
			return workshop.Plan(ctx, files, workshop.PlanRequest{Piece: *piece})
		},
		"check": func(ctx context.Context) (any, error) { return workshop.Check(ctx, files, spot) },
	} {
		t.Run(name, func(t *testing.T) {
			ended, cancel := context.WithCancel(t.Context())
			cancel()
			result, err := use(ended)
			require.ErrorIs(t, err, context.Canceled)
			require.Nil(t, result)

			result, err = use(contexttest.NewEndsAfter(t, 3)) // as decoding asks
			require.ErrorIs(t, err, context.Canceled)
			require.Nil(t, result)
		})
	}
}

func TestPreviewStops(t *testing.T) {
	plan, err := planCabinet(t)
	require.NoError(t, err)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	area := plan.Areas[0].Area.Name
	whole := previewOf(t, photos(), plan, workshop.PreviewOptions{Width: -1})
	for name, show := range map[string]func(ctx context.Context) error{
		"before": func(ctx context.Context) error { _, err := whole.Before(ctx, "front"); return err },
		"after":  func(ctx context.Context) error { _, _, err := whole.After(ctx, "front"); return err },
		"strip":  func(ctx context.Context) error { _, _, err := whole.Strip(ctx, area); return err },
	} {
		require.Equal(t, context.Canceled, show(ended), name)
	}
	picture, _, err := whole.After(contexttest.NewEndsAfter(t, 3), "front")
	require.Equal(t, context.Canceled, err)
	require.Nil(t, picture)

	// What was given up is not what is shown to the next who asks.
	after, _, err := whole.After(t.Context(), "front")
	require.NoError(t, err)
	again, _, err := previewOf(t, photos(), plan, workshop.PreviewOptions{Width: -1}).After(t.Context(), "front")
	require.NoError(t, err)
	require.Equal(t, again, after)
}

// A photo whose rendering was given up is rendered anew for the next who asks, and only a whole one is kept.
func TestPreviewKeepsNoGivenUpPhoto(t *testing.T) {
	plan, err := planCabinet(t)
	require.NoError(t, err)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	whole, err := previewOf(t, photos(), plan, workshop.PreviewOptions{}).Before(t.Context(), "front")
	require.NoError(t, err)
	for _, after := range []time.Duration{0, time.Millisecond, 3 * time.Millisecond} {
		p := previewOf(t, photos(), plan, workshop.PreviewOptions{})
		_, err = p.Before(ended, "front")
		require.Equal(t, context.Canceled, err)
		soon, cancel := context.WithTimeout(t.Context(), after)
		_, _ = p.Before(soon, "front") // a fast machine may be done by then
		cancel()
		again, err := p.Before(t.Context(), "front")
		require.NoError(t, err)
		require.Equal(t, whole, again)
	}
}
