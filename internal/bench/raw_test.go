package bench

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	sensors "huewright/colour/sensor"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/sample"
	"huewright/internal/figure"
)

// TestRawScenes measures drawn cabinets from raw photos and, beside them, from the JPEGs that the same cameras make: by one slip of paper,
// and by the chart. The sensors are measured ones that nothing was tuned to.
func TestRawScenes(t *testing.T) {
	forFigures, _ := measuredCameras(t)
	profiles := makers(t, forFigures)
	var rawSlip, rawChart, jpegSlip, jpegChart spread
	for i := range figure.Draws(2, 12) {
		seed := uint64(900 + i)
		rng := rand.New(rand.NewPCG(seed, 0x71e3))
		sensor := i % len(forFigures)
		c := DrawCamera(seed, Phone)
		c.measured = forFigures[sensor]
		hand := View{Width: 1280, Height: 960, SamplesPerSide: 1, TiltX: 0.03 * rng.NormFloat64(), TiltY: 0.03 * rng.NormFloat64()}
		scene := Cabinet(DrawCabinet(seed))
		asRaw, asJPEG := scene.ShootRaw(hand, c, &profiles[sensor][min(i%3, 1)]), scene.Shoot(hand, c)
		for _, of := range []struct {
			shot          *Shot
			data          []byte
			bySlip, chart *spread
		}{{asRaw, asRaw.Raw, &rawSlip, &rawChart}, {asJPEG, asJPEG.JPEG, &jpegSlip, &jpegChart}} {
			photo, err := imageio.Decode(t.Context(), of.data, "photo")
			require.NoError(t, err)
			require.Equal(t, [2]int{1280, 960}, [2]int{photo.Width, photo.Height})
			slip := []evenlight.Slip{{Outline: of.shot.Area(Slip).Outline, Lightness: of.shot.Area(Slip).Lab.L}}
			seen, err := evenlight.ReadSlips(t.Context(), photo, slip)
			require.NoError(t, err)
			balanced := photo.BalancedBy(evenlight.White(seen))
			seen, err = evenlight.ReadSlips(t.Context(), balanced, slip)
			require.NoError(t, err)
			bySlip, _, _, err := evenlight.FitSlips(balanced, seen)
			require.NoError(t, err)
			_, _, shown, err := chart.Fit(t.Context(), photo, of.shot.Corners, chart.Options{})
			require.NoError(t, err)
			byGreys := photo.BalancedBy(shown.White())
			byChart, _, _, err := chart.Fit(t.Context(), byGreys, of.shot.Corners, chart.Options{})
			require.NoError(t, err)
			for _, name := range studied {
				area := of.shot.Area(name)
				r, err := sample.Read(t.Context(), balanced, area.Outline, bySlip, sample.Options{Name: name})
				require.NoError(t, err)
				of.bySlip.add(colour.DeltaE2000(area.Lab, r.Mean), r.PlusMinus)
				r, err = sample.Read(t.Context(), byGreys, area.Outline, byChart, sample.Options{Name: name})
				require.NoError(t, err)
				of.chart.add(colour.DeltaE2000(area.Lab, r.Mean), r.PlusMinus)
			}
			if of.data[0] != 0xff {
				require.Equal(t, sensors.Daylight, balanced.Light())
			}
		}
	}
	figure.Report(t, "raw scenes/raw, slip", "%v", &rawSlip)
	figure.Report(t, "raw scenes/JPEG, slip", "%v", &jpegSlip)
	figure.Report(t, "raw scenes/raw, chart", "%v", &rawChart)
	figure.Report(t, "raw scenes/JPEG, chart", "%v", &jpegChart)
	require.Less(t, rawSlip.mean(), jpegSlip.mean()/2)
	require.Less(t, rawSlip.mean(), jpegChart.mean())
	require.LessOrEqual(t, rawChart.mean(), 1.0)
	figure.AtLeast(t, 0.9, rawSlip.share(), float64(len(rawSlip.off)))
	figure.AtLeast(t, 0.9, rawChart.share(), float64(len(rawChart.off)))
}
