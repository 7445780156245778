package spectra

import "huewright/colour"

// A Prior is the distribution of the spectra of one colour: their mean, and its derivatives.
type Prior struct {
	Mean   Spectrum
	ByLab  [Bands][3]float64     // by L*, a*, b* of the colour
	ByMode [Bands][Modes]float64 // by the weight of each mode, whose standard deviation is 1
}

// PriorOf is the prior of the spectra of colour c.
func PriorOf(c colour.Lab) Prior {
	p := Prior{Mean: PriorSpectrum(c)}
	const h = 0.5
	for k, step := range [3]colour.Lab{{L: h}, {A: h}, {B: h}} {
		up := PriorSpectrum(colour.Lab{L: c.L + step.L, A: c.A + step.A, B: c.B + step.B})
		down := PriorSpectrum(colour.Lab{L: c.L - step.L, A: c.A - step.A, B: c.B - step.B})
		for i := range up {
			p.ByLab[i][k] = (up[i] - down[i]) / (2 * h)
		}
	}
	basis := basisAt(&p.Mean, trendSD(c))
	smoothest := Smoothest(c)
	size := roughness(&smoothest)
	for k := range Modes {
		var weights [Modes]float64
		weights[k] = size
		for i, dz := range basis.metameric(&weights) {
			r := p.Mean[i]
			p.ByMode[i][k] = 2 * r * (1 - r) * dz
		}
	}
	return p
}
