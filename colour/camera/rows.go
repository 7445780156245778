package camera

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// rows fills residuals and their derivatives one after the other.
type rows struct {
	r    []float64
	j    *mat.Dense // nil when only residuals are asked for
	next int
}

// newRows begins with derivatives of 0.
func newRows(r []float64, j *mat.Dense) *rows {
	if j != nil {
		j.Zero()
	}
	return &rows{r: r, j: j}
}

func (w *rows) add(residual float64) { w.r[w.next] = residual; w.next++ }

// slope sets a derivative of the residual added last.
func (w *rows) slope(parameter int, v float64) {
	if w.j != nil {
		w.j.Set(w.next-1, parameter, v)
	}
}

// sample adds the three residuals of a sample: L*, a*, b* as the model predicts them from its parameters p, which
// begin at from, less those wanted. The wanted ones are parameters themselves, beginning at wantAt, unless that is negative.
func (w *rows) sample(p *cameraParams, s *Sample, want [3]float64, weight float64, from, wantAt int) {
	var lab colour.Lab
	var slopes jacobian
	if w.j == nil {
		lab = p.xyz(s.Camera, s.At).Lab()
	} else {
		lab, slopes = p.sensitivity(s.Camera, s.At)
	}
	for k, got := range [3]float64{lab.L, lab.A, lab.B} {
		w.add(weight * (got - want[k]))
		if w.j == nil {
			continue
		}
		row := w.j.RawRowView(w.next - 1)
		for m, v := range slopes[k] {
			row[from+m] = weight * v
		}
		if wantAt >= 0 {
			row[wantAt+k] = -weight
		}
	}
}

// tones adds the residuals that hold tone bends, parameters from at, to their mean by the whitening of their covariance.
func (w *rows) tones(bends []float64, mean *[nBend]float64, white *[nBend][nBend]float64, at int) {
	for i, row := range white {
		sum := 0.0
		for k := i; k < nBend; k++ {
			sum += row[k] * (bends[k] - mean[k])
		}
		w.add(sum)
		for k := i; k < nBend; k++ {
			w.slope(at+k, row[k])
		}
	}
}
