package camera_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fixture"
)

// The published values of both editions, as collected by the Python library colour-science
// (BSD-3), are what Chart24 holds once its D65 is taken back to D50.
func TestChart24AgainstThePublishedTable(t *testing.T) {
	file, err := os.Open(fixture.NeedShared(t, "examples/chart24_reference.csv")[0])
	require.NoError(t, err)
	defer file.Close()
	lines := csv.NewReader(file)
	lines.Comment = '#'
	lines.FieldsPerRecord = -1
	rows, err := lines.ReadAll()
	require.NoError(t, err)
	rows = rows[1:]
	require.Len(t, rows, 24)
	back := colour.Adaptation(colour.WhiteD65, colour.WhiteD50)
	for edition, column := range map[camera.Edition]int{camera.Before2014: 2, camera.Since2014: 5} {
		for i, patch := range camera.Chart24(edition) {
			got := back.Apply(patch.Lab.XYZ()).LabUnder(colour.WhiteD50)
			for k, v := range [3]float64{got.L, got.A, got.B} {
				want, err := strconv.ParseFloat(rows[i][column+k], 64)
				require.NoError(t, err)
				require.InDeltaf(t, want, v, 1e-6, "%s, value %d", rows[i][1], k)
			}
		}
	}
}

func TestChart24Editions(t *testing.T) {
	since, before := camera.Chart24(camera.Since2014), camera.Chart24(camera.Before2014)
	sum := 0.0
	for i := range since {
		sum += colour.DeltaE2000(before[i].Lab, since[i].Lab)
	}
	require.InDelta(t, 1.0, sum/24, 0.3)
	require.Equal(t, "dark brown", since[0].Name)
	require.Equal(t, "bluish green", since[5].Name)
	require.Equal(t, "black", since[23].Name)
}

func TestNearWood(t *testing.T) {
	var near []string
	for _, p := range camera.Chart24(camera.Since2014) {
		if camera.NearWood(p.Lab) {
			near = append(near, p.Name)
		}
	}
	t.Log(near)
	require.Contains(t, near, "dark brown")
	require.Contains(t, near, "light skin")
	require.NotContains(t, near, "cyan")
	require.NotContains(t, near, "orange")
}
