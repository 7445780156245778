package learn

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/spectra"
)

// readings are the distinct readings of a dataset and the joint distribution of their errors, which leaves out the
// reference photo's own: coatings are learned, and coats counted, as that photo shows colours, so that it cancels.
type readings struct {
	all        []Measured
	indices    map[Measured]int // by identity
	covariance *mat.SymDense    // of the errors: three rows, L*, a*, b*, for each reading
	similarity *mat.SymDense    // correlation of the readings' spectra about the prior ones
	priors     []spectra.Prior
}

// gatherReadings collects the readings that coatings are learned from, and others, in an order that does not depend on
// theirs. The reference photo is the one that most of the evidence comes from: with another one, films would be known
// no better than the photos agree, and the priors of paints would move the photos.
func gatherReadings(evidence, others []Measured, shared func(a, b Measured) [3][3]float64) *readings {
	r := &readings{indices: map[Measured]int{}}
	for _, m := range slices.Concat(evidence, others) {
		if _, known := r.indices[m.identity()]; !known {
			r.indices[m.identity()] = 0
			r.all = append(r.all, m)
		}
	}
	slices.SortFunc(r.all, func(a, b Measured) int {
		return cmp.Or(cmp.Compare(a.Photo, b.Photo), cmp.Compare(a.Lab.L, b.Lab.L), cmp.Compare(a.Lab.A, b.Lab.A),
			cmp.Compare(a.Lab.B, b.Lab.B), cmp.Compare(a.PlusMinus, b.PlusMinus),
			cmp.Compare(a.Own, b.Own), compareBools(a.Earlier, b.Earlier), cmp.Compare(a.Key, b.Key))
	})
	for i, m := range r.all {
		r.indices[m.identity()] = i
	}
	if len(r.all) == 0 {
		return r
	}
	r.priors = make([]spectra.Prior, len(r.all))
	r.covariance = errorCovariance(r.all, cmp.Or(referencePhoto(evidence), referencePhoto(others)), shared)
	r.similarity = mat.NewSymDense(len(r.all), nil)
	for i := range r.all {
		r.priors[i] = spectra.PriorOf(r.all[i].Lab)
		for k := i; k < len(r.all); k++ {
			r.similarity.SetSym(i, k, spectra.Correlation(r.all[i].Lab, r.all[k].Lab))
		}
	}
	return r
}

// identity tells readings apart: the key alone, or, without one, all fields.
func (m Measured) identity() Measured {
	if m.Key != "" {
		return Measured{Key: m.Key}
	}
	return m
}

// indexOf returns the index of a reading.
func (r *readings) indexOf(m Measured) int { return r.indices[m.identity()] }

// compareBools puts false before true.
func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// referencePhoto returns the photo that most readings come from; of several, the first by name.
func referencePhoto(measured []Measured) string {
	count := map[string]int{}
	best := ""
	for _, m := range measured {
		if m.Photo == "" || m.Earlier {
			continue
		}
		count[m.Photo]++
	}
	for photo, n := range count {
		if best == "" || n > count[best] || n == count[best] && photo < best {
			best = photo
		}
	}
	return best
}

// block returns the covariance of the errors of readings i and k.
func (r *readings) block(i, k int) (cov [3][3]float64) {
	for a := range 3 {
		for b := range 3 {
			cov[a][b] = r.covariance.At(3*i+a, 3*k+b)
		}
	}
	return cov
}
