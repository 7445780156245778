package blendtest

import "math"

// Sigmoid goes from low to high wavelengths from one value to another.
func Sigmoid(from, to, x float64) float64 { return to + (from-to)/(1+math.Exp(x)) }
