package bench

import (
	"math"
	"math/rand/v2"

	"huewright/colour/spectra"
)

// A Camera is a light, a sensor and what a phone's software does to its picture before it is
// saved. Every number is a plain physical or photographic quantity; DrawCamera draws them
// within ranges that hold for phones in a garage.
type Camera struct {
	Lamp     Lamp
	Gradient float64 // how much less light reaches the far side of the picture, 0–0.2
	Towards  float64 // where it gets darker, degrees: 0 right, 90 down
	Vignette float64 // light lost in the corners, 0–0.1

	Exposure float64    // linear light a perfect white gives, 1 clips; 0.65–1.05
	Balance  [3]float64 // error of the white balance, 1 is none
	Flare    float64    // stray light, share of the picture's mean, 0–0.03

	Saturation float64 // 1 is true to life
	Contrast   float64 // of the S-curve, 0–0.4
	Toe        float64 // how far the shadows are pressed down, 0–0.5
	Gamma      float64 // of the curve, above 1 is darker; 1 is none
	Shoulder   float64 // encoded level above which highlights are pressed together

	Read, Shot float64 // noise: floor, and share of the root of the signal, on linear 0–1
	Blur       float64 // of the lens, share of a pixel that goes to each neighbour
	Sharpen    float64 // of the software
	Quality    int     // of the JPEG, 1–100
	Seed       uint64  // of the noise

	red, green, blue [3]lobe        // sensitivities, a sum of lobes each
	measured         *sensitivities // in their place; nil for none
	preference       preference     // what the software does to some hues and not to others
}

// A lobe is one hump of a sensor's sensitivity.
type lobe struct{ height, peak, width float64 }

func respond(lobes [3]lobe, nm float64) float64 {
	sum := 0.0
	for _, l := range lobes {
		if l.width > 0 {
			z := (nm - l.peak) / l.width
			sum += l.height * math.Exp(-z*z/2)
		}
	}
	cut := 1 / (1 + math.Exp((nm-672)/9)) // the filter against infrared
	return sum * cut
}

// sensitivities are those of red, green and blue at each band, in any unit.
type sensitivities [spectra.Bands]rgb

// sensitivity is what the sensor makes of equal light at a band.
func (c *Camera) sensitivity(band int) (s rgb) {
	if c.measured != nil {
		return c.measured[band]
	}
	for k, lobes := range [][3]lobe{c.red, c.green, c.blue} {
		s[k] = respond(lobes, wavelength(band))
	}
	return s
}

// A preference is how far preferred colours are from true ones. Each pull goes one way for some
// hues and the other way for those opposite; its angle, radians, says for which.
type preference struct {
	turn, turnAt         float64 // of hue, radians; twice round the circle
	stronger, strongerAt float64 // of saturation, share
	lighter, lighterAt   float64 // of brightness, share for a fully saturated colour
}

// Rendering is how much a phone's software does for looks.
type Rendering int

// Renderings, from none at all to what phones do.
const (
	Plain Rendering = iota // linear light, sRGB curve
	Mild                   // half of what phones do
	Phone
)

// DrawCamera draws a phone in daylight. The ranges:
//
//   - daylight of 5000–7000 K; 0–10 % less light on one side; up to 5 % lost in the corners.
//     A careful user gets that by an open door; more is what the evenness checks are for.
//   - sensor lobes at usual places ±6 nm, widths ±8 %. They are no linear map of the observer.
//   - white balance off by 4 % (one standard deviation) in red and in blue; flare 0.2–1 %.
//   - as a phone: saturation 1.0–1.2, hues turned by up to 3–8°, saturation by 10–25 % and
//     brightness by 15–40 % for some hues and not for others, S-curve 0.03–0.18, toe 0.20–0.50,
//     gamma 0.92–1.10, shoulder from 0.40–0.65. Mild is half of all that.
//
// No source gives such ranges. The curve is drawn so that the greys of a chart come out as they
// do in the real photos by phones among the shared data, the rest so that a plain 3×3 matrix
// fits the chart about as badly as there, 4.1–5.3 ΔE00 left out one by one (mean 4.4).
// TestCamerasAreLikePhones holds both, TestMeasuredCameras the lobes to sensitivities that were measured.
func DrawCamera(seed uint64, r Rendering) Camera {
	rng := rand.New(rand.NewPCG(seed, 0xca3e7a))
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	moved := func(height, peak, width float64) lobe {
		return lobe{height, peak + between(-6, 6), width * between(0.92, 1.08)}
	}
	c := Camera{
		Lamp: Daylight(between(5000, 7000)), Gradient: between(0, 0.10), Towards: between(0, 360), Vignette: between(0, 0.05),
		red:      [3]lobe{moved(1, 602, 34), moved(0.07, 455, 28), moved(0.10, 545, 25)},
		green:    [3]lobe{moved(1, 533, 38), moved(0.10, 460, 30), moved(0.12, 610, 30)},
		blue:     [3]lobe{moved(1, 461, 27), moved(0.10, 535, 30)},
		Exposure: between(0.65, 1.05),
		Balance:  [3]float64{math.Exp(0.04 * rng.NormFloat64()), 1, math.Exp(0.04 * rng.NormFloat64())},
		Flare:    between(0.002, 0.010),
		Read:     0.0015, Shot: 0.010, Blur: 0.10, Quality: 90, Seed: rng.Uint64(),
	}
	much := []float64{0, 0.5, 1}[r]
	angle := func() float64 { return between(0, 2*math.Pi) }
	c.Saturation = 1 + much*between(0, 0.20)
	c.preference = preference{
		much * between(0.06, 0.14), angle(),
		much * between(0.10, 0.25), angle(),
		much * between(0.15, 0.40), angle(),
	}
	c.Contrast, c.Toe, c.Gamma = much*between(0.03, 0.18), much*between(0.20, 0.50), 1+much*between(-0.08, 0.10)
	c.Shoulder, c.Sharpen = 1-much*between(0.35, 0.60), 0.45*much
	return c
}
