package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// errorCovariance returns the covariance of the errors of all readings: of what each shows otherwise than the reference
// photo would have shown it, and of its own error. A colour that comes from no photo is compared with what the
// reference photo shows, so that all of that photo's error counts.
func errorCovariance(all []Measured, reference string, shared func(a, b Measured) [3][3]float64) *mat.SymDense {
	if shared == nil {
		shared = samePhotoCovariance
	}
	between := func(a, b Measured) (cov [3][3]float64) {
		if a.Photo == "" || b.Photo == "" {
			return cov
		}
		if a.Earlier || b.Earlier {
			return samePhotoCovariance(a, b)
		}
		return shared(a, b)
	}
	inReference := func(m Measured) Measured { // as the reference photo would have shown it
		m.Photo, m.Earlier = reference, false
		return m
	}
	outside := func(m Measured) bool { return m.Photo != reference || m.Earlier && reference != "" }
	covariance := mat.NewSymDense(3*len(all), nil)
	for i, m := range all {
		for k := i; k < len(all); k++ {
			o := all[k]
			var cov [3][3]float64
			if outside(m) && outside(o) {
				mRef, oRef := inReference(m), inReference(o)
				both, first, second, ref := between(m, o), between(m, oRef), between(mRef, o), between(mRef, oRef)
				for a := range 3 {
					for b := range 3 {
						cov[a][b] = both[a][b] - first[a][b] - second[a][b] + ref[a][b]
					}
				}
			}
			for a := range 3 {
				for b := range 3 {
					if i != k || a <= b {
						covariance.SetSym(3*i+a, 3*k+b, cov[a][b])
					}
				}
			}
		}
		own := m.ownSD()
		for a := range 3 {
			covariance.SetSym(3*i+a, 3*i+a, max(0, covariance.At(3*i+a, 3*i+a))+own*own)
		}
	}
	return covariance
}

const (
	goodReadingSD = 0.5 // standard deviation of a good reading in each of L*, a*, b*
	leastSD       = 0.2 // of any reading, whatever is claimed
	// radiusPerSD is the approximate 95 % radius, in ΔE00, of errors with a standard deviation of 1 in
	// each of L*, a*, b*, at the chroma of wood.
	radiusPerSD = 2.0
	// ownShare is the share of a reading's radius, beyond a good reading's, that is independent of the
	// other readings of its photo: a photo's error about a wood is mostly its error about the coat on it
	// too. Our own choice: on the virtual bench, 40 photos by phones with a chart, the radius of a
	// predicted colour and that of the reading it starts from together hold the truth 98 times in 100.
	ownShare = 0.1
)

// ownSD returns the standard deviation, in each of L*, a*, b*, of a reading's independent error.
func (m *Measured) ownSD() float64 {
	switch r := m.PlusMinus; {
	case r == 0:
		return goodReadingSD
	case m.Own > 0:
		return math.Hypot(goodReadingSD, m.Own/radiusPerSD)
	case r <= goodReadingSD:
		return max(r, leastSD)
	case m.Photo == "":
		return math.Hypot(goodReadingSD, m.excessRadius()/radiusPerSD)
	default:
		return math.Hypot(goodReadingSD, ownShare*m.excessRadius()/radiusPerSD)
	}
}

// excessRadius returns the part of a reading's 95 % radius beyond a good reading's, in quadrature.
func (m *Measured) excessRadius() float64 {
	return math.Sqrt(max(0, m.PlusMinus*m.PlusMinus-goodReadingSD*goodReadingSD))
}

// samePhotoCovariance returns the covariance of the shared errors of two readings when all that is known of their
// photos is which they are: readings of one photo share what is not their own. Readings with an Own are taken to
// share nothing.
func samePhotoCovariance(a, b Measured) (cov [3][3]float64) {
	if a.Photo != b.Photo || a.Earlier != b.Earlier || a.Own > 0 || b.Own > 0 {
		return cov
	}
	part := func(m *Measured) float64 { return math.Sqrt(1-ownShare*ownShare) * m.excessRadius() / radiusPerSD }
	for i := range cov {
		cov[i][i] = part(&a) * part(&b)
	}
	return cov
}
