package blend

// The shares of light a smooth surface of refractive index near 1.5 keeps from crossing it: from
// outside, straight on (Fresnel: 0.04); and from inside, where light comes from everywhere, as
// Saunderson (1942) rounds it.
const (
	OuterSurface = 0.04
	InnerSurface = 0.6
)

// Saunderson returns the reflectance that is seen, gloss included, of a film whose inside
// reflects r, when the share k1 of the light that falls on it turns back at its surface and the
// share k2 of what comes up from inside is sent down again. All are 0–1, and k2 below 1.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736.
func Saunderson(r, k1, k2 float64) float64 {
	return k1 + (1-k1)*(1-k2)*r/(1-k2*r)
}

// InverseSaunderson returns the reflectance inside a film from what is seen. It is negative for
// a surface seen darker than its own gloss, k1: bring that in before laying films over it.
func InverseSaunderson(seen, k1, k2 float64) float64 {
	return (seen - k1) / (1 - k1 - k2*(1-seen))
}
