package camera

import (
	"math"

	"huewright/colour"
)

// Recorded returns what the camera would have recorded of a light: Apply undone. near is where to
// begin looking, the camera's record of a like colour. Where no record gives the light, the one that
// comes nearest is returned, none of whose channels is below 0.
//
// Newton's method in linear light, by differences: Apply is smooth, and in a few steps within 1e-6.
func (c *Correction) Recorded(want colour.XYZ, near colour.LinearRGB) colour.LinearRGB {
	at := [3]float64{max(near.R, 1e-4), max(near.G, 1e-4), max(near.B, 1e-4)}
	if c.known == 0 {
		exact := want.LinearRGB()
		return colour.LinearRGB{R: max(exact.R, 0), G: max(exact.G, 0), B: max(exact.B, 0)}
	}
	off := func(at [3]float64) [3]float64 {
		got := c.Apply(colour.LinearRGB{R: at[0], G: at[1], B: at[2]})
		return [3]float64{got.X - want.X, got.Y - want.Y, got.Z - want.Z}
	}
	rest := off(at)
	for range 12 {
		if math.Abs(rest[0])+math.Abs(rest[1])+math.Abs(rest[2]) < 1e-7 {
			break
		}
		var slopes colour.Matrix
		for k := range at {
			h := 1e-3 * max(at[k], 0.01)
			up := at
			up[k] += h
			for i, v := range off(up) {
				slopes[i][k] = (v - rest[i]) / h
			}
		}
		if math.Abs(slopes.Determinant()) < 1e-15 {
			break
		}
		inverse := slopes.Inverse()
		step := [3]float64{}
		for i := range step {
			for k := range rest {
				step[i] -= inverse[i][k] * rest[k]
			}
		}
		// No channel may lose more than four fifths at once: below 0 there is no light.
		next := at
		for k := range at {
			next[k] = max(at[k]+step[k], 0.2*at[k], 1e-6)
		}
		at, rest = next, off(next)
	}
	return colour.LinearRGB{R: at[0], G: at[1], B: at[2]}
}
