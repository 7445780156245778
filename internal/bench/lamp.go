package bench

import (
	sensors "huewright/colour/sensor"
	"huewright/colour/spectra"
)

// A Lamp is what lights the scene, as relative power at each band.
type Lamp struct {
	Name  string
	power spectra.Spectrum
}

// daylightComponents are S0, S1 and S2 of CIE 15:2018, table 6, from 380 nm by 10 nm.
var daylightComponents = [spectra.Bands][3]float64{
	{63.4, 38.5, 3.0}, {65.8, 35.0, 1.2}, {94.8, 43.4, -1.1}, {104.8, 46.3, -0.5},
	{105.9, 43.9, -0.7}, {96.8, 37.1, -1.2}, {113.9, 36.7, -2.6}, {125.6, 35.9, -2.9},
	{125.5, 32.6, -2.8}, {121.3, 27.9, -2.6}, {121.3, 24.3, -2.6}, {113.5, 20.1, -1.8},
	{113.1, 16.2, -1.5}, {110.8, 13.2, -1.3}, {106.5, 8.6, -1.2}, {108.8, 6.1, -1.0},
	{105.3, 4.2, -0.5}, {104.4, 1.9, -0.3}, {100.0, 0.0, 0.0}, {96.0, -1.6, 0.2},
	{95.1, -3.5, 0.5}, {89.1, -3.5, 2.1}, {90.5, -5.8, 3.2}, {90.3, -7.2, 4.1},
	{88.4, -8.6, 4.7}, {84.0, -9.5, 5.1}, {85.1, -10.9, 6.7}, {81.9, -10.7, 7.3},
	{82.6, -12.0, 8.6}, {84.9, -14.0, 9.8}, {81.3, -13.6, 10.2}, {71.9, -12.0, 8.3},
	{74.3, -13.3, 9.6}, {76.4, -12.9, 8.5}, {63.3, -10.6, 7.0}, {71.7, -11.6, 7.6},
}

// Daylight is daylight of a colour temperature, 4000–25000 K; 6504 K is D65.
//
// Source: CIE 15:2018, 4.1.2.
func Daylight(kelvin float64) Lamp {
	x, y := sensors.DaylightOf(kelvin)
	m := 0.0241 + 0.2562*x - 0.7341*y
	m1, m2 := (-1.3515-1.7703*x+5.9114*y)/m, (0.0300-31.4424*x+30.0717*y)/m
	lamp := Lamp{Name: "daylight"}
	for band, s := range daylightComponents {
		lamp.power[band] = (s[0] + m1*s[1] + m2*s[2]) / 100
	}
	return lamp
}
