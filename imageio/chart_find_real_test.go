package imageio_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// marksBeyond is how far beyond the patches the corner marks are printed on the charts, as a
// share of the field's width: seen on the photos. The other detector's boxes follow the marks,
// not the patches.
const marksBeyond = 0.02

func beyond(q [4]imageio.Point, by float64) [4]imageio.Point {
	wide := (math.Hypot(q[1].X-q[0].X, q[1].Y-q[0].Y) + math.Hypot(q[2].X-q[3].X, q[2].Y-q[3].Y)) / 2
	for i, c := range q {
		for _, k := range []int{(i + 1) % 4, (i + 3) % 4} {
			side := math.Hypot(c.X-q[k].X, c.Y-q[k].Y)
			q[i].X += by * wide * (c.X - q[k].X) / side
			q[i].Y += by * wide * (c.Y - q[k].Y) / side
		}
	}
	return q
}

// Every photograph of the chart (collection jtvd, MIT) is found the right way round.
// Another detector's corners are no truth: they tell which corner is which, and about where.
// The test on drawn charts holds how near the corners are to the truth.
func TestFindChartOnRealPhotos(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	require.NotEmpty(t, corners)
	t.Log("photo   fits at   next way round   off the other's box   off its size grown by the marks   ms")
	for i, name := range sortedNames(corners) {
		photo, err := imageio.Open(name)
		require.NoError(t, err)
		start := time.Now()
		found, err := photo.FindChart(imageio.ChartSearch{})
		took := time.Since(start)
		require.NoError(t, err)
		raw := worstCorner(corners[name], found.Corners)
		marks := worstCorner(corners[name], beyond(found.Corners, marksBeyond))
		t.Logf("%5d %9.2f %16.2f %19.2f %% %29.2f %% %6d", i+1, found.Misfit, found.Next, 100*raw, 100*marks, took.Milliseconds())
		require.Less(t, raw, 0.08, "within half a patch: every corner is the right one")
		_, _, _, err = photo.FitChart(found.Corners, imageio.ChartOptions{})
		require.NoError(t, err)
	}
}

// Other real photos (plantcv, MPL-2.0; bllanos, BSD; wood and format collections): what is
// there, and above all what is not.
func TestFindChartElsewhere(t *testing.T) {
	root := filepath.Join(sharedCharts, "..")
	all, err := filepath.Glob(filepath.Join(root, "*", "*", "*"))
	require.NoError(t, err)
	if len(all) == 0 {
		t.Skip("the shared photographs are not here")
	}
	want := map[string]string{
		"sic.png": "", "source1_img.png": "", "target_img.png": "", "port.png": "", "-mini.jpg": "", "d3_wb.tif": "",
		"mini_example.jpg": "no chart", "normal_example.jpg": "no chart", "x.png": "another card",
		"source2_img.png": "cut off", "partial_card_rgb.png": "partly covered", "seedhead-rgb.jpg": "partly covered", "tobacco_leaves.jpg": "too small",
	}
	asked := 0
	for _, path := range all {
		expected, known := "no chart", false
		for end, w := range want {
			if strings.HasSuffix(path, end) {
				expected, known = w, true
			}
		}
		kind := strings.Split(strings.TrimPrefix(path, root+string(os.PathSeparator)), string(os.PathSeparator))[0]
		if !known && !slices.Contains([]string{"wood", "formats"}, kind) {
			continue
		}
		photo, err := imageio.Open(path)
		if err != nil || strings.Contains(path, "giant") {
			continue // not a picture that opens, or one of one colour that only takes time
		}
		asked++
		start := time.Now()
		found, err := photo.FindChart(imageio.ChartSearch{})
		took := time.Since(start).Milliseconds()
		got := ""
		if err != nil {
			got = string(err.(*imageio.ChartError).Fault)
			t.Logf("photo %2d  %4d × %-4d  %4d ms  %s", asked, photo.Width, photo.Height, took, got)
		} else {
			t.Logf("photo %2d  %4d × %-4d  %4d ms  found, fits at %.1f, next way round %.1f", asked, photo.Width, photo.Height, took, found.Misfit, found.Next)
		}
		require.Equal(t, expected, got, path)
	}
	require.Greater(t, asked, 30)
}
