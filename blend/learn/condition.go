package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/spectra"
)

// A posteriorDraw is one draw of the unknowns and of the readings' errors.
type posteriorDraw struct {
	at     []float64
	errors readingErrors
}

// readingErrors are errors of all readings together. A zero value has no readings.
type readingErrors struct {
	lab   *mat.VecDense // three rows a reading: L*, a*, b*
	modes *mat.Dense    // a row for each reading: how its spectrum deviates from the prior one, by mode
}

func newReadingErrors(n int) readingErrors {
	if n == 0 {
		return readingErrors{}
	}
	return readingErrors{mat.NewVecDense(3*n, nil), mat.NewDense(n, spectra.Modes, nil)}
}

// condition turns errors drawn from their prior into errors given the evidence, when the unknowns are at and the
// observations are shifted.
//
// Source: conditioning a simulation by kriging (Matheron), see Journel and Huijbregts (1978),
// Mining Geostatistics, VII.A.1; cited from memory.
func (f *solution) condition(errors *readingErrors, at []float64, shift *perturbation, work *scratch) {
	f.residualsAt(at, shift, work)
	for i := range work.residuals {
		work.residuals[i] *= -1
	}
	weights := f.whitening.solve(work.residuals)
	n := len(f.readings.all)
	lab, mode := make([]float64, 3*n), make([][spectra.Modes]float64, n)
	for i := range f.observations {
		v, by := &f.observations[i], &f.jacobian[i]
		for c := range 3 {
			w := weights[3*i+c]
			lab[3*v.reading+c] += w
			if v.substrate < 0 {
				continue
			}
			for a := range 3 {
				lab[3*v.substrate+a] -= by.ground[c][a] * w
			}
			for m := range spectra.Modes {
				mode[v.substrate][m] += by.mode[c][m] * w
			}
		}
	}
	for i := range n {
		for c := range 3 {
			sum := 0.0
			for k, w := range lab {
				sum += f.readings.covariance.At(3*i+c, k) * w
			}
			errors.lab.SetVec(3*i+c, errors.lab.AtVec(3*i+c)+sum)
		}
		for m := range spectra.Modes {
			sum := 0.0
			for k := range mode {
				sum += f.readings.similarity.At(i, k) * mode[k][m]
			}
			errors.modes.Set(i, m, errors.modes.At(i, m)+sum)
		}
	}
}

// sample returns the sample that a draw makes.
func (f *solution) sample(d *posteriorDraw) Sample {
	s := Sample{Clear: clearCoat(f.unknownsOf(d.at, len(f.componentIndex)))}
	var mixed []float64
	if f.mixed != nil {
		mixed = f.unknownsOf(d.at, len(f.componentIndex)+1)
	}
	for k, component := range f.componentIndex {
		shelf := &f.dataset.Shelf[k]
		p := point(f.unknownsOf(d.at, component))
		c := p.coating(shelf.Name, shelf.Kind, shelf.PutOn)
		c.Family = shelf.Family
		s.Coatings = append(s.Coatings, c)
		s.BoardToPiece = append(s.BoardToPiece, math.Exp(p[atBoard]))
		s.strengths = append(s.strengths, f.mixed.strengthOf(shelf.Name, &p, mixed))
		s.absorption = append(s.absorption, f.components[component].(*coatingComponent).absorption(f.unknownsOf(d.at, component)))
	}
	f.fillSpectra(&s, &d.errors)
	return s
}

// fillSpectra gives a sample the spectra of the dataset's colours, their errors taken away.
func (f *solution) fillSpectra(s *Sample, errors *readingErrors) {
	for _, m := range f.dataset.Colours {
		i := f.readings.indexOf(m)
		c := m.Lab
		c.L -= errors.lab.AtVec(3 * i)
		c.A -= errors.lab.AtVec(3*i + 1)
		c.B -= errors.lab.AtVec(3*i + 2)
		c.L = min(max(c.L, 0), 100)
		s.Colours = append(s.Colours, spectra.Metamer(c, (*[spectra.Modes]float64)(errors.modes.RawRowView(i))))
	}
}
