package bench

import (
	"math"

	"huewright/colour/spectra"
)

// levels is how many steps there are between the palest and the darkest grain.
const levels = 192

// A chemistry says what in a wood absorbs light, as Kubelka–Munk K/S: lignin, whose
// absorption falls off exponentially from the violet, and coloured extractives, a broad band
// in the green. Neither has the ten knots of the model that blend learns with, nor the
// smoothness [spectra.Smoothest] assumes.
type chemistry struct {
	floor      float64 // everywhere
	lignin     float64 // at 400 nm
	fall       float64 // nm over which lignin's absorption falls by e
	extractive float64 // at its middle
	middle     float64 // nm
	breadth    float64 // nm, one standard deviation
}

func (c chemistry) absorption(nm float64) float64 {
	z := (nm - c.middle) / c.breadth
	return c.floor + c.lignin*math.Exp(-(nm-400)/c.fall) + c.extractive*math.Exp(-z*z/2)
}

func (c chemistry) stronger(lignin, extractive float64) chemistry {
	c.floor *= (lignin + extractive) / 2
	c.lignin *= lignin
	c.extractive *= extractive
	return c
}

// A species is a wood as a colour maker sees it.
type species struct {
	area        string // of the cabinet, that is of it
	early, late chemistry
	ringWidth   float64 // mm, in a usual year
	grain       func(b *board, x, y float64) float64
}

// Colours of the two woods are from memory, as means over a face: ash about L* 78 a* 4 b* 19,
// sapele about L* 45 a* 17 b* 20. TestWoodColours holds them.
var (
	ash = species{
		area:      Frame,
		ringWidth: 3.4, grain: (*board).ash,
		early: chemistry{floor: 0.014, lignin: 0.78, fall: 70, extractive: 0.020, middle: 510, breadth: 45},
		late:  chemistry{floor: 0.16, lignin: 2.9, fall: 88, extractive: 0.28, middle: 515, breadth: 55},
	}
	sapele = species{
		area:      Panel,
		ringWidth: 5, grain: (*board).sapele,
		early: chemistry{floor: 0.05, lignin: 5.2, fall: 76, extractive: 0.75, middle: 520, breadth: 42},
		late:  chemistry{floor: 0.34, lignin: 14, fall: 80, extractive: 3.0, middle: 525, breadth: 50},
	}
)

// palette is how a surface reflects at each level of its grain.
type palette [levels]spectra.Spectrum

// palette mixes the two ends of the grain: what absorbs adds up, so K/S is what is mixed.
// lignin and extractive are this board's strength in them against its species, 1 if usual.
func (s species) palette(lignin, extractive float64) *palette {
	early, late := s.early.stronger(lignin, extractive), s.late.stronger(lignin, extractive)
	var l palette
	for i := range l {
		g := (float64(i) + 0.5) / levels
		for band := range l[i] {
			nm := wavelength(band)
			l[i][band] = deep(lerp(g, early.absorption(nm), late.absorption(nm)))
		}
	}
	return &l
}

func wavelength(band int) float64 { return spectra.FirstBand + spectra.BandStep*float64(band) }

// deep is the reflectance of a layer too deep to see through, of K/S ratio.
//
// Source: Kubelka and Munk (1931), Z. techn. Phys. 12, 593–601.
func deep(ratio float64) float64 { return 1 / (1 + ratio + math.Sqrt(ratio*(ratio+2))) }
