package bench

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour/spectra"
	"huewright/internal/fixture"
)

// The published table of D65 (CIE 15:2018, table 5) is the daylight of 6504 K, its components
// and coefficients rounded on the way.
func TestDaylightIsD65(t *testing.T) {
	f, err := os.Open(fixture.NeedShared(t, "spectra/colour_science/illuminants_cie.csv")[0])
	require.NoError(t, err)
	defer f.Close()
	table := csv.NewReader(f)
	table.Comment = '#'
	rows, err := table.ReadAll()
	require.NoError(t, err)
	column := 0
	for i, name := range rows[0] {
		if name == "D65" {
			column = i
		}
	}
	require.NotZero(t, column)
	want := map[int]float64{}
	for _, row := range rows[1:] {
		nm, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		if v, err := strconv.ParseFloat(row[column], 64); err == nil {
			want[int(nm)] = v / 100
		}
	}
	lamp := Daylight(6504)
	for band, got := range lamp.power {
		require.InDelta(t, want[int(wavelength(band))], got, 0.0015, "%g nm", wavelength(band))
	}
}

// Cooler daylight is bluer, and a warm tube is redder than a cold one.
func TestLampsWarmAndCold(t *testing.T) {
	blueToRed := func(l Lamp) float64 { return l.power[7] / l.power[24] } // 450 and 620 nm
	require.Greater(t, blueToRed(Daylight(7500)), blueToRed(Daylight(6000)))
	require.Greater(t, blueToRed(Daylight(6000)), blueToRed(Daylight(4500)))
	require.Greater(t, blueToRed(ledTube(0)), blueToRed(ledTube(1)))
	require.Len(t, Daylight(5000).power, spectra.Bands)
}

// ledTube is a white LED tube: a blue diode and the broad glow of its phosphor, which warmth
// (0–1) makes stronger and redder.
func ledTube(warmth float64) Lamp {
	lamp := Lamp{Name: "LED tube"}
	for band := range lamp.power {
		blue := (wavelength(band) - 452) / 10
		glow := (wavelength(band) - (565 + 35*warmth)) / 62
		lamp.power[band] = (1-0.6*warmth)*math.Exp(-blue*blue/2) + 0.72*math.Exp(-glow*glow/2)
	}
	return lamp
}
