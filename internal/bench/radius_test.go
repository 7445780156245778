package bench

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/sample"
	"huewright/internal/figure"
)

// TestStatedRadiusHolds counts how often the stated 95 % radius of an area, read with a chart
// in the photo, holds the truth: over warm and cool light, little and much rendering, and
// light that falls off from one side by up to 10 and up to 20 %. Nothing evens that light
// here, and the radius does not know of it.
func TestStatedRadiusHolds(t *testing.T) {
	photos := figure.Draws(3, 60) // of each kind
	for _, row := range []struct {
		name      string
		rendering Rendering
		low, high float64 // of the gradient
	}{
		{"mild, light falls off 0–10 %", Mild, 0, 0.10},
		{"mild, light falls off 10–20 %", Mild, 0.10, 0.20},
		{"phone, light falls off 0–10 %", Phone, 0, 0.10},
		{"phone, light falls off 10–20 %", Phone, 0.10, 0.20},
	} {
		held, areas, off, radius := 0.0, 0.0, 0.0, 0.0
		for seed := range uint64(photos) {
			rng := rand.New(rand.NewPCG(seed, 0x95))
			camera := DrawCamera(seed, row.rendering)
			camera.Gradient = row.low + (row.high-row.low)*rng.Float64()
			camera.Lamp = Daylight(4500 + 3500*rng.Float64())
			shot := Cabinet(DrawCabinet(seed)).Shoot(quarterView, camera)
			photo, err := imageio.Decode(t.Context(), shot.JPEG, "cabinet.jpg")
			require.NoError(t, err)
			correction, _, _, err := chart.Fit(t.Context(), photo, shot.Corners, chart.Options{})
			require.NoError(t, err)
			for _, name := range []string{Frame, Panel, FrameBare, FrameTested, PanelBare, PanelTested, Chip, Target} {
				r, err := sample.Read(t.Context(), photo, shot.Area(name).Outline, correction, sample.Options{Name: name})
				require.NoError(t, err)
				d := colour.DeltaE2000(shot.Area(name).Lab, r.Mean)
				if d <= r.PlusMinus {
					held++
				}
				off, radius, areas = off+d, radius+r.PlusMinus, areas+1
			}
		}
		t.Logf("%-31s mean error %.2f, mean radius %.2f, holds %.1f %% of %.0f areas", row.name, off/areas, radius/areas, 100*held/areas, areas)
		figure.Report(t, "stated radius/"+row.name, "%.0f %%", 100*held/areas)
		if row.high <= 0.10 {
			figure.AtLeast(t, 0.90, held/areas, areas)
		}
	}
}
