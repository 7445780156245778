package workshop_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A tap on a blob, a test coat, bare wood or a sample board reads that, whatever lies round it.
func TestSpotsAreReadWhereTheyAreTapped(t *testing.T) {
	names := []string{bench.Chip, bench.FrameBare, bench.FrameTested, bench.PanelBare, bench.PanelTested, bench.Target}
	near, n := 0, 0
	for seed := range figure.Draws(2, 40) {
		shot := bench.Cabinet(bench.CabinetOptions{Seed: uint64(5000 + seed)}).Shoot(
			bench.View{Width: 1600, Height: 1200, SamplesPerSide: 1}, bench.DrawCamera(uint64(5000+seed), bench.Phone),
		)
		files := inMemory{"front": string(shot.JPEG)}
		p := &piece.Piece{Name: "cabinet", Photos: []piece.Photo{{Name: "front", File: "front", Reference: "chart"}}}
		var taker workshop.Taker
		for _, name := range names {
			at := shot.Area(name).Outline.Centre()
			taken, err := taker.Spot(t.Context(), files, p, "front", fmt.Sprintf("%.0f,%.0f", at.X, at.Y))
			require.NoError(t, err)
			drawn, err := workshop.ReadSpot(t.Context(), files, p, "front", shot.Area(name).Outline.String())
			require.NoError(t, err)
			n++
			if d := colour.DeltaE2000(drawn.Lab, taken.Lab); d < 2 {
				near++
			} else {
				t.Logf("seed %d, %s: %.1f from what the whole of it reads", 5000+seed, name, d)
			}
		}
	}
	figure.Report(t, "spots tapped that read as the whole of them within 2", "%d of %d", near, n)
	require.GreaterOrEqual(t, float64(near), 0.9*float64(n))
}
