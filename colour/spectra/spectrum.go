package spectra

import "huewright/colour"

// Spectrum is the reflectance of a surface at each band, 0–1. Beyond its ends it is taken to
// go on flat.
type Spectrum [Bands]float64

// XYZ returns what the observer sees of s under l, on the scale where a perfect white has Y = 1.
//
// Source: ASTM E308, with weights by ASTM E2022.
func (s *Spectrum) XYZ(l *Light) colour.XYZ {
	var c colour.XYZ
	for i, r := range s {
		w := &l.weights[i]
		c.X += r * w[0]
		c.Y += r * w[1]
		c.Z += r * w[2]
	}
	return c
}

// Lab returns the colour of s in daylight, D65. A flat spectrum is neutral to the last digits.
func (s *Spectrum) Lab() colour.Lab { return s.XYZ(LightD65).Lab() }

// LabUnder returns how s looks under l to an eye that has adapted to l: the tristimulus values
// under l are carried from the light's white to D65 by Bradford, and Lab is taken there, against
// D65 like every other Lab. So a flat grey has the same Lab in every light, and what differs
// between lights is what the surface does, not the lamp's own tint.
//
// It is not the Lab against the light's own white which some tables print: that one adapts
// inside CIELAB, by scaling X, Y and Z instead of the eye's own responses.
func (s *Spectrum) LabUnder(l *Light) colour.Lab { return l.toD65.Apply(s.XYZ(l)).Lab() }
