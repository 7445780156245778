package camera

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A jointSight is a tie as a photo shows it. left is what the photo's own chart says that the
// camera model leaves over near its colour.
type jointSight struct {
	TiePoint
	tie  int
	left colour.Lab
}

func (s *jointSight) corrected(p *cameraParams) colour.Lab {
	lab := p.xyz(s.Camera, Position{}).Lab()
	return colour.Lab{L: lab.L + s.left.L, A: lab.A + s.left.A, B: lab.B + s.left.B}
}

// miss adds how far the photo recorded the tie from how it should have recorded colour want.
//
// Note: the error is measured as it was recorded, in Lab of sRGB at its word, and not as it
// is after correction. As the tie's colour is unknown, the latter would be least with all
// photos corrected to one flat dark grey.
func (s *jointSight) miss(w *rows, p *cameraParams, want [3]float64, from, at int) {
	weight := 1 / s.deviation()
	byLab, ok := s.undo(p)
	if !ok { // too dark for its colour to say anything
		byLab, weight = mat.NewDense(3, 3, nil), 0
	}
	off := s.off(byLab, p, want)
	var slopes [3][nCamera]float64
	if w.j != nil && ok {
		slopes = s.slopes(p, want)
	}
	for k := range off {
		w.add(weight * off[k])
		for m, v := range slopes[k] {
			w.slope(from+m, weight*v)
		}
		for i := range 3 {
			w.slope(at+i, -weight*byLab.At(k, i))
		}
	}
}

// off is the miss for a matrix that takes corrected errors back to recorded ones.
func (s *jointSight) off(byLab *mat.Dense, p *cameraParams, want [3]float64) (off [3]float64) {
	got := s.corrected(p)
	for k := range off {
		for i, v := range [3]float64{got.L - want[0], got.A - want[1], got.B - want[2]} {
			off[k] += byLab.At(k, i) * v
		}
	}
	return off
}

// slopes are the derivatives of off by every parameter, by differences: the matrix changes
// with all of them too.
func (s *jointSight) slopes(p *cameraParams, want [3]float64) (slopes [3][nCamera]float64) {
	const h = 1e-5
	for m := range p {
		if m >= atField && m < atMatrix {
			continue // a field is none in its middle
		}
		up, down := *p, *p
		up[m] += h
		down[m] -= h
		undoUp, okUp := s.undo(&up)
		undoDown, okDown := s.undo(&down)
		if !okUp || !okDown {
			continue
		}
		above, below := s.off(undoUp, &up, want), s.off(undoDown, &down, want)
		for k := range slopes {
			slopes[k][m] = (above[k] - below[k]) / (2 * h)
		}
	}
	return slopes
}

// undo is how Lab as recorded changes with Lab as corrected, where the tie was seen.
func (s *jointSight) undo(p *cameraParams) (*mat.Dense, bool) {
	var back mat.Dense
	if err := back.Inverse(p.byLog(s.Camera)); err != nil {
		return nil, false
	}
	recorded := sRGBAtItsWord.byLog(s.Camera)
	recorded.Mul(recorded, &back)
	return recorded, true
}

// byLog is how Lab changes with the logarithms of the recorded light.
func (p *cameraParams) byLog(c colour.LinearRGB) *mat.Dense {
	_, slopes := p.sensitivity(c, Position{}, true)
	m := mat.NewDense(3, 3, nil)
	for k, v := range [3]float64{c.R, c.G, c.B} {
		_, z, _ := p.response(k, v, Position{})
		bent := 1 + p[atBend] + 0.6*p[atBend+1]*z
		for i := range 3 {
			m.Set(i, k, slopes[i][atGain+k]*bent)
		}
	}
	return m
}
