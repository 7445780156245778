package chart_test

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// chartCorners are the corners another detector found, photo by photo. That it begins at the
// dark-brown patch was checked by eye.
func chartCorners(t *testing.T, folder string) map[string][4]imageio.Point {
	t.Helper()
	raw, err := os.ReadFile(fixture.NeedShared(t, "charts/mcc_corners.json")[0])
	require.NoError(t, err)
	var found map[string]struct{ Boxes [][2]json.RawMessage }
	require.NoError(t, json.Unmarshal(raw, &found))
	corners := map[string][4]imageio.Point{}
	for name, f := range found {
		if !strings.HasPrefix(name, "charts/"+folder) || len(f.Boxes) == 0 {
			continue
		}
		var box [4][2]float64
		require.NoError(t, json.Unmarshal(f.Boxes[0][1], &box))
		var q [4]imageio.Point
		for i, c := range box {
			q[i] = imageio.Point{X: c[0], Y: c[1]}
		}
		corners[fixture.Shared(name)] = q
	}
	return corners
}

func sortedNames(corners map[string][4]imageio.Point) []string {
	var names []string
	for name := range corners {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// warmHues are the patches in the hues of wood, 40–95°, most of them far stronger than wood:
// dark brown, light skin, orange, orange yellow, yellow. They are harder than what NearWood
// holds for, six of whose nine are greys.
func warmHues(c colour.Lab) bool {
	lch := c.LCh()
	return lch.C >= 8 && lch.H >= 40 && lch.H <= 95
}

// byPatches are the means of one photo's errors over all patches, those near wood and those in
// the hues of wood.
func byPatches(samples []camera.Sample, errors []float64) [3]float64 {
	var sum, n [3]float64
	for i, s := range samples {
		for k, counts := range [3]bool{true, camera.NearWood(s.Want), warmHues(s.Want)} {
			if counts {
				sum[k], n[k] = sum[k]+errors[i], n[k]+1
			}
		}
	}
	return [3]float64{sum[0] / n[0], sum[1] / n[1], sum[2] / n[2]}
}

// Photographs of the chart (collection jtvd, MIT), to all appearance by one phone: their
// size, profile and quantisation are the same. The figure that counts is each patch's error
// when it was predicted from the other 23, over all patches / near wood / in the hues of
// wood. Simpler models stand beside it, 3×3 on the sRGB decode first, which is what most
// programs do.
func TestFitOnRealPhotos(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	require.NotEmpty(t, corners)
	found := map[string][4]imageio.Point{}
	for name := range corners {
		photo, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		chart, err := chart.Find(t.Context(), photo, chart.Search{})
		require.NoError(t, err)
		found[name] = chart.Corners
	}
	t.Run("corners given", func(t *testing.T) { requireBestOnEvery(t, "corners given", corners) })
	t.Run("corners found", func(t *testing.T) { requireBestOnEvery(t, "corners found", found) })
}

// requireBestOnEvery fits all photos by ours and by the simpler models.
func requireBestOnEvery(t *testing.T, whose string, corners map[string][4]imageio.Point) {
	var means [4][3]float64 // ours, then the baselines
	t.Log("photo  fitted   95 %  left out: ours          3×3                 curve, 3×3          curve, root-polynomial")
	for i, name := range sortedNames(corners) {
		photo, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		_, report, chart, err := chart.Fit(t.Context(), photo, corners[name], chart.Options{})
		require.NoError(t, err)
		errors := make([]float64, len(report.Patches))
		for k, p := range report.Patches {
			require.Truef(t, p.Used, "%s: %s", p.Name, p.Why)
			errors[k] = p.LeftOut
		}
		row := [4][3]float64{byPatches(chart.Samples, errors)}
		for k, b := range baselines {
			row[k+1] = byPatches(chart.Samples, b.leaveOneOut(t, chart.Samples))
		}
		line := fmt.Sprintf("%5d %7.2f %6.2f  ", i+1, report.MeanDeltaE, report.LOOP95)
		for k := range row {
			line += fmt.Sprintf("  %5.2f /%5.2f /%5.2f", row[k][0], row[k][1], row[k][2])
			for m := range row[k] {
				means[k][m] += row[k][m] / float64(len(corners))
			}
		}
		t.Log(line)
		for k, b := range baselines {
			require.Lessf(t, row[0][0], row[k+1][0], "photo %d is better off with %s", i+1, b.name)
		}
	}
	t.Logf(" mean %33.2f /%5.2f /%5.2f  %5.2f /%5.2f /%5.2f  %5.2f /%5.2f /%5.2f  %5.2f /%5.2f /%5.2f",
		means[0][0], means[0][1], means[0][2], means[1][0], means[1][1], means[1][2],
		means[2][0], means[2][1], means[2][2], means[3][0], means[3][1], means[3][2])
	for k, model := range []string{"ours", "3×3", "grey ramp and 3×3"} {
		figure.Report(t, "real charts, "+whose+"/"+model, "%.2f", means[k][0])
	}
	figure.Report(t, "real charts, "+whose+"/ours near wood", "%.2f", means[0][1])
	figure.Report(t, "real charts, "+whose+"/ours in warm hues", "%.2f", means[0][2])
	require.LessOrEqual(t, means[0][0], 2.8)
	require.LessOrEqual(t, means[0][1], 2.4)
}

// What a grey card alone leaves wrong, from the same photographs with only the mid-grey patch
// known: the colours near wood must lie within the ± that is stated, about as often as that
// promises.
func TestGreyCardOnRealPhotos(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	for _, known := range []struct {
		name    string
		patches []int
	}{{"nothing", nil}, {"one grey", []int{21}}, {"white, grey and black", []int{18, 21, 23}}} {
		var sum, stated, n, within float64
		for _, name := range sortedNames(corners) {
			photo, err := imageio.Open(t.Context(), name)
			require.NoError(t, err)
			chart, err := chart.Read(t.Context(), photo, corners[name], chart.Options{})
			require.NoError(t, err)
			var cards []camera.Sample
			for _, i := range known.patches {
				card := chart.Samples[i]
				card.At = camera.Position{}
				cards = append(cards, card)
			}
			correction, _, err := camera.Fit(cards)
			require.NoError(t, err)
			for _, s := range chart.Samples[:18] {
				if !camera.NearWood(s.Want) {
					continue
				}
				off := colour.DeltaE2000(s.Want, correction.Lab(s.Camera))
				radius := correction.PlusMinus(correction.Lab(s.Camera))
				sum, stated, n = sum+off, stated+radius, n+1
				if off <= radius {
					within++
				}
			}
		}
		t.Logf("%-22s known: near wood off by %.1f on average, stated ± %.1f, within it %.0f %%", known.name, sum/n, stated/n, 100*within/n)
		figure.Report(t, "by a card/"+known.name, "off by %.1f, stated ± %.1f", sum/n, stated/n)
		require.GreaterOrEqual(t, within/n, 0.85)
	}
}

func TestFitKnowsTheRightOrder(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	for _, name := range sortedNames(corners)[:3] {
		photo, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		right := corners[name]
		for turn := range 4 {
			for _, way := range []int{1, 3} {
				if turn == 0 && way == 1 {
					continue
				}
				var q [4]imageio.Point
				for i := range q {
					q[i] = right[(turn+way*i)%4]
				}
				_, _, _, err := chart.Fit(t.Context(), photo, q, chart.Options{})
				require.Equal(t, fault.Use, fault.KindOf(err))
				advised := fault.Of(err).Values["order"].(string)
				first := fmt.Sprintf("%g,%g %g,%g ", right[0].X, right[0].Y, right[1].X, right[1].Y)
				require.True(t, strings.HasPrefix(advised, first), advised)
			}
		}
	}
}

func TestFitRefusesCornersBesideTheChart(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	for _, name := range sortedNames(corners) {
		photo, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		w, h := float64(photo.Width), float64(photo.Height)
		away := [4]imageio.Point{{X: 0.05 * w, Y: 0.02 * h}, {X: 0.45 * w, Y: 0.02 * h}, {X: 0.45 * w, Y: 0.12 * h}, {X: 0.05 * w, Y: 0.12 * h}}
		_, report, _, err := chart.Fit(t.Context(), photo, away, chart.Options{})
		require.Equal(t, fault.Use, fault.KindOf(err), "%s fits at %.1f", name, report.MeanDeltaE)
		require.Equal(t, fault.Code("chart.corners-off"), fault.Of(err).Code)
	}
}
