package colour

// Luminance is Y, by the weights of IEC 61966-2-1.
func Luminance(c LinearRGB) float64 { return 0.2126*c.R + 0.7152*c.G + 0.0722*c.B }
