package spectra

import "huewright/colour"

// A Light is what a spectrum is seen under: it weighs reflectance at each band into XYZ for
// the CIE 1931 2° observer. Make none; use those below.
type Light struct {
	Name string // in a bench's words, "warm LED lamp"

	weights [Bands][3]float64
	toD65   colour.Matrix // Bradford, from the light's white
}

// The lights a piece of furniture is judged in. LightWarmLED is LED-B1 of CIE 15:2018, a
// blue diode with a yellow phosphor at 2733 K: the common warm-white household lamp.
var (
	LightD65     = newLight("daylight D65", &weightsD65, colour.WhiteD65)
	LightA       = newLight("filament lamp A", &weightsA, colour.WhiteA)
	LightWarmLED = newLight("warm LED lamp", &weightsLEDB1, colour.WhiteOf(0.4560, 0.4078))
)

// newLight scales each column of a table so that a perfect white comes out as exactly the
// published white. The tables themselves miss it by up to 5 parts in 10 000, because whites
// are published as chromaticities of four decimals; unscaled, a spectrally flat grey would
// have a trace of colour in the whole module.
func newLight(name string, table *[Bands][3]float64, white colour.XYZ) *Light {
	l := &Light{Name: name, toD65: colour.Adaptation(white, colour.WhiteD65)}
	var sum [3]float64
	for _, w := range table {
		for k := range sum {
			sum[k] += w[k]
		}
	}
	target := [3]float64{white.X, white.Y, white.Z}
	for i, w := range table {
		for k := range target {
			l.weights[i][k] = w[k] * target[k] / sum[k]
		}
	}
	return l
}
