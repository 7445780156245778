package imageio_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/imageio"
)

const sharedCharts = "../../shared/data/charts"

// chartCorners are the corners another detector found, photo by photo. That it begins at the
// dark-brown patch was checked by eye.
func chartCorners(t *testing.T, folder string) map[string][4]imageio.Point {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(sharedCharts, "mcc_corners.json"))
	if err != nil {
		t.Skip("the shared photographs are not here: ", err)
	}
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
		corners[filepath.Join(sharedCharts, "..", name)] = q
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

// Photographs of the chart by several phones (JTvD/arcu_colorchecker, MIT). The figure that
// counts is each patch's error when it was predicted from the other 23; the 3×3 matrix on
// the sRGB decode, what most programs do, stands beside it.
func TestFitChartOnRealPhotos(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	require.NotEmpty(t, corners)
	var all, near, plain float64
	t.Log("photo   fitted   left out   95 %   near wood   3×3 left out")
	for i, name := range sortedNames(corners) {
		photo, err := imageio.Open(name)
		require.NoError(t, err)
		_, report, chart, err := photo.FitChart(corners[name], imageio.ChartOptions{})
		require.NoError(t, err)
		matrix := matrixLeaveOneOut(t, chart.Samples)
		t.Logf("%5d %8.2f %10.2f %6.2f %11.2f %14.2f", i+1, report.MeanDeltaE, report.LOOMean, report.LOOP95, report.LOONearWood, matrix)
		all += report.LOOMean
		near += report.LOONearWood
		plain += matrix
	}
	n := float64(len(corners))
	t.Logf(" mean %19.2f %18.2f %14.2f", all/n, near/n, plain/n)
	require.LessOrEqual(t, all/n, 3.0)
	require.Less(t, all, plain)
}

// matrixLeaveOneOut is the baseline: a 3×3 by least squares in XYZ.
func matrixLeaveOneOut(t *testing.T, samples []colour.Sample) float64 {
	sum := 0.0
	for left := range samples {
		a, b := mat.NewDense(len(samples)-1, 3, nil), mat.NewDense(len(samples)-1, 3, nil)
		row := 0
		for i, s := range samples {
			if i == left {
				continue
			}
			want := s.Want.XYZ()
			a.SetRow(row, []float64{s.Camera.R, s.Camera.G, s.Camera.B})
			b.SetRow(row, []float64{want.X, want.Y, want.Z})
			row++
		}
		var m mat.Dense
		require.NoError(t, m.Solve(a, b))
		s := samples[left]
		var got mat.Dense
		got.Mul(mat.NewDense(1, 3, []float64{s.Camera.R, s.Camera.G, s.Camera.B}), &m)
		sum += colour.DeltaE2000(s.Want, colour.XYZ{X: got.At(0, 0), Y: got.At(0, 1), Z: got.At(0, 2)}.Lab())
	}
	return sum / float64(len(samples))
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
			photo, err := imageio.Open(name)
			require.NoError(t, err)
			chart, err := photo.ReadChart(corners[name], imageio.ChartOptions{})
			require.NoError(t, err)
			var cards []colour.Sample
			for _, i := range known.patches {
				card := chart.Samples[i]
				card.At = colour.Position{}
				cards = append(cards, card)
			}
			correction, _, err := colour.FitCamera(cards)
			require.NoError(t, err)
			for _, s := range chart.Samples[:18] {
				if !colour.NearWood(s.Want) {
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
		require.GreaterOrEqual(t, within/n, 0.85)
	}
}

func TestFitChartKnowsTheRightOrder(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	for _, name := range sortedNames(corners)[:3] {
		photo, err := imageio.Open(name)
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
				_, _, _, err := photo.FitChart(q, imageio.ChartOptions{})
				var wrong *imageio.CornersError
				require.ErrorAs(t, err, &wrong)
				advised := strings.Split(wrong.Hint(), `"`)[1]
				first := fmt.Sprintf("%g,%g %g,%g ", right[0].X, right[0].Y, right[1].X, right[1].Y)
				require.True(t, strings.HasPrefix(advised, first), advised)
			}
		}
	}
}

func TestFitChartRefusesWhatIsNoChart(t *testing.T) {
	corners := chartCorners(t, "jtvd/")
	for _, name := range sortedNames(corners) {
		photo, err := imageio.Open(name)
		require.NoError(t, err)
		w, h := float64(photo.Width), float64(photo.Height)
		away := [4]imageio.Point{{X: 0.05 * w, Y: 0.02 * h}, {X: 0.45 * w, Y: 0.02 * h}, {X: 0.45 * w, Y: 0.12 * h}, {X: 0.05 * w, Y: 0.12 * h}}
		_, report, _, err := photo.FitChart(away, imageio.ChartOptions{})
		var refused *imageio.PhotoError
		require.ErrorAsf(t, err, &refused, "%s fits at %.1f", name, report.MeanDeltaE)
		require.NotEmpty(t, refused.Hint())
	}
}
