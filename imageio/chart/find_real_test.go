package chart_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// grown is a quadrilateral scaled about the place where its diagonals cross.
func grown(q [4]imageio.Point, by float64) [4]imageio.Point {
	a, c := q[0], q[2]
	b, d := q[1], q[3]
	cross := func(u, v imageio.Point) float64 { return u.X*v.Y - u.Y*v.X }
	ac, bd := imageio.Point{X: c.X - a.X, Y: c.Y - a.Y}, imageio.Point{X: d.X - b.X, Y: d.Y - b.Y}
	t := cross(imageio.Point{X: b.X - a.X, Y: b.Y - a.Y}, bd) / cross(ac, bd)
	middle := imageio.Point{X: a.X + t*ac.X, Y: a.Y + t*ac.Y}
	for i, p := range q {
		q[i] = imageio.Point{X: middle.X + by*(p.X-middle.X), Y: middle.Y + by*(p.Y-middle.Y)}
	}
	return q
}

// Every photograph of the chart (collection jtvd, MIT) is found the right way round.
//
// Another detector's corners are no truth: its boxes lie outside the patches, about where the
// printed marks are, as the eye sees on overlays, while ours lie on the outer corners of the
// patches. One scale about the middle, the same for all photos, takes one definition to the
// other; what remains is how much its boxes stray. The test on drawn charts holds how near our
// corners are to the truth.
func TestFindChartOnRealPhotos(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	require.NotEmpty(t, corners)
	names := sortedNames(corners)
	found := make([]*chart.Detection, len(names))
	took := make([]time.Duration, len(names))
	for i, name := range names {
		photo, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		start := time.Now()
		found[i], err = chart.Find(t.Context(), photo, chart.Search{})
		took[i] = time.Since(start)
		require.NoError(t, err)
		_, _, _, err = chart.Fit(t.Context(), photo, found[i].Corners, chart.Options{})
		require.NoError(t, err)
	}
	scale, least := 1.0, math.Inf(1)
	for s := 0.98; s < 1.10; s += 0.001 {
		sum := 0.0
		for i, name := range names {
			off := worstCorner(corners[name], grown(found[i].Corners, s))
			sum += off * off
		}
		if sum < least {
			scale, least = s, sum
		}
	}
	t.Log("photo   fits at   next way round   off the other's box   off its size scaled   ms")
	mean, most, least, rawMost := 0.0, 0.0, 1.0, 0.0
	for i, name := range names {
		raw, left := worstCorner(corners[name], found[i].Corners), worstCorner(corners[name], grown(found[i].Corners, scale))
		mean, most = mean+left/float64(len(names)), max(most, left)
		least, rawMost = min(least, raw), max(rawMost, raw)
		t.Logf("%5d %9.2f %16.2f %19.2f %% %19.2f %% %6d", i+1, found[i].Misfit(), found[i].Next(), 100*raw, 100*left, took[i].Milliseconds())
		require.Less(t, raw, 0.08, "within half a patch: every corner is the right one")
	}
	figure.Report(t, "charts found/real", "all %d", len(names))
	figure.Report(t, "corners/against another detector", "%.1f–%.1f %%", 100*least, 100*rawMost)
	figure.Report(t, "corners/scaled", "scaled by %.2f about the middle %.1f %% on average, %.1f %% at most", scale, 100*mean, 100*most)
	require.Less(t, mean, 0.03)
}

// Other real photos (plantcv, MPL-2.0; bllanos, BSD; wood and format collections): what is
// there, and above all what is not.
func TestFindChartElsewhere(t *testing.T) {
	root := fixture.Shared()
	all := fixture.NeedShared(t, "*/*/*")
	want := map[string]string{
		"sic.png": "", "source1_img.png": "", "target_img.png": "", "port.png": "", "-mini.jpg": "", "d3_wb.tif": "",
		"mini_example.jpg": "chart.none", "normal_example.jpg": "chart.none", "x.png": "chart.another",
		"source2_img.png": "chart.cut-off", "partial_card_rgb.png": "chart.covered",
		"seedhead-rgb.jpg": "chart.covered", "tobacco_leaves.jpg": "chart.small",
	}
	asked, charts := 0, 0
	for _, path := range all {
		expected, known := "chart.none", false
		for end, w := range want {
			if strings.HasSuffix(path, end) {
				expected, known = w, true
			}
		}
		kind := strings.Split(strings.TrimPrefix(path, root+string(os.PathSeparator)), string(os.PathSeparator))[0]
		if !known && !slices.Contains([]string{"wood", "formats"}, kind) {
			continue
		}
		photo, err := imageio.Open(t.Context(), path)
		if err != nil || strings.Contains(path, "giant") {
			continue // not a picture that opens, or one of one colour that only takes time
		}
		asked++
		start := time.Now()
		found, err := chart.Find(t.Context(), photo, chart.Search{})
		took := time.Since(start).Milliseconds()
		got := ""
		if err != nil {
			got = string(fault.Of(err).Code)
			t.Logf("photo %2d  %4d × %-4d  %4d ms  %s", asked, photo.Width, photo.Height, took, got)
		} else {
			t.Logf("photo %2d  %4d × %-4d  %4d ms  found, fits at %.1f, next way round %.1f",
				asked, photo.Width, photo.Height, took, found.Misfit(), found.Next())
		}
		require.Equal(t, expected, got, path)
		if got == "" {
			charts++
		}
	}
	figure.Report(t, "charts found/elsewhere", "all %d", charts)
	figure.Report(t, "charts found/where there is none", "none in %d", asked-charts)
	require.Greater(t, asked, 30)
}
