package imagetest

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fixture"
)

// A Card is the 24-patch chart as one real photo recorded it, patch by patch.
type Card struct {
	Camera  string // P a phone or camera, W a webcam, F a flat-bed scanner
	Name    string
	Light   [24]colour.LinearRGB
	Want    [24]colour.Lab
	Skipped [24]bool // near-clipped
}

// Cards reads the charts of 40 photos by other cameras. It skips the test where they are not there.
func Cards(t testing.TB) (cards []Card) {
	t.Helper()
	file, err := os.Open(fixture.NeedShared(t, "charts/cameras/patches.csv")[0])
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	for _, row := range rows[1:] {
		number := func(name string) float64 {
			v, err := strconv.ParseFloat(row[column[name]], 64)
			require.NoError(t, err)
			return v
		}
		name := row[column["repository"]] + "/" + row[column["file"]]
		if len(cards) == 0 || cards[len(cards)-1].Name != name {
			cards = append(cards, Card{Camera: row[column["kind"]], Name: name})
		}
		c, i := &cards[len(cards)-1], int(number("patch"))
		c.Light[i] = colour.LinearRGB{R: number("lin_r"), G: number("lin_g"), B: number("lin_b")}
		c.Want[i] = colour.Lab{L: number("want_l"), A: number("want_a"), B: number("want_b")}
		c.Skipped[i] = row[column["skipped"]] != ""
	}
	return cards
}
