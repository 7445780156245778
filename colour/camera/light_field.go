package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A LightSpot is the light found at one place of a picture by a surface that is the same at
// several places.
type LightSpot struct {
	At    Position // in the picture: (0, 0) in its middle, its longer side 1 long
	Log   float64  // natural logarithm of the luminance seen, over that the surface would have in even light
	Sheet int      // which paper; spots of one sheet share whatever is not known of it
}

// LightFieldOptions says what a light field is relative to and what is known of the sheets.
type LightFieldOptions struct {
	// Reference is the place where the field is 1; default the mean of the spots, and then
	// whatever all sheets have in common takes no part.
	Reference *Position
	// SheetsKnown says that the luminance of each sheet is known to a few per cent; default it
	// is not, and only spots of the same sheet say anything of the light.
	SheetsKnown bool
}

// A LightField is how much light falls on each place of a picture, over that at a reference:
// a smooth field of the logarithm of luminance, and how sure it is. Any number of goroutines
// may use it at once.
type LightField struct {
	origin lightTerms
	terms  lightTerms
	cov    *mat.SymDense // of terms
	scale  float64       // of the uncertainty: how much worse spots left out came off than it says, at least 1

	// LeftOut is, for each spot, the logarithm of its light over that predicted from all
	// others; NaN where the others say nothing of it.
	LeftOut []float64
	// LeftOutSD is how far the prediction was to be trusted, as a standard deviation.
	LeftOutSD []float64
}

// lightTerms are the slopes along x and y and the curvatures x², xy, y² of a field.
type lightTerms [nLight]float64

const nLight = 5

func lightTermsAt(p Position) lightTerms {
	return lightTerms{p.X, p.Y, p.X * p.X, p.X * p.Y, p.Y * p.Y}
}

// How light in rooms and yards varies, as standard deviations of its logarithm, and how well
// a slip of paper tells it. Our own choice. The curvature is held so tightly that it takes
// six slips or more to bring it out: with fewer the field is a plane, and only its
// uncertainty knows that it may not be.
const (
	lightSlopeSD = 0.20 // from side to side of the picture
	lightCurveSD = 0.15 // of each second-order term
	slipSD       = 0.015
	sheetKnownSD = 0.03
	unknownSD    = 10.0
)

// mostUnsureLeftOut is the standard deviation beyond which a prediction says nothing.
const mostUnsureLeftOut = 0.5

// FitLightField fits the field to the spots as a maximum a posteriori estimate, so that it is
// defined, and unsure, with few of them or none.
func FitLightField(spots []LightSpot, opt LightFieldOptions) *LightField {
	system := newLightSystem(spots, nil, opt)
	f := &LightField{origin: system.origin, cov: mat.NewSymDense(nLight, nil), scale: 1}
	for k := range nLight {
		f.terms[k] = system.mean.AtVec(k)
		for m := k; m < nLight; m++ {
			f.cov.SetSym(k, m, system.cov.At(k, m))
		}
	}
	sum, n := 0.0, 0.0
	for i := range spots {
		others := append(append([]LightSpot(nil), spots[:i]...), spots[i+1:]...)
		log, sd := newLightSystem(others, &spots[i], opt).predict(&spots[i])
		if sd > mostUnsureLeftOut {
			f.LeftOut, f.LeftOutSD = append(f.LeftOut, math.NaN()), append(f.LeftOutSD, math.NaN())
			continue
		}
		miss := spots[i].Log - log
		f.LeftOut, f.LeftOutSD = append(f.LeftOut, miss), append(f.LeftOutSD, sd)
		sum, n = sum+miss*miss/(sd*sd), n+1
	}
	if n > 0 {
		f.scale = max(1, math.Sqrt(sum/n))
	}
	return f
}

// Log is the natural logarithm of the luminance at a place over that at the reference.
func (f *LightField) Log(at Position) float64 {
	sum := 0.0
	for k, v := range lightTermsAt(at) {
		sum += f.terms[k] * (v - f.origin[k])
	}
	return sum
}

// Unsure is the standard deviation of Log.
func (f *LightField) Unsure(at Position) float64 { return f.deviation(lightTermsAt(at), f.origin) }

// UnsureBetween is the standard deviation of the difference of Log between two places.
func (f *LightField) UnsureBetween(a, b Position) float64 {
	return f.deviation(lightTermsAt(a), lightTermsAt(b))
}

func (f *LightField) deviation(a, b lightTerms) float64 {
	row := mat.NewVecDense(nLight, nil)
	for k := range a {
		row.SetVec(k, a[k]-b[k])
	}
	return f.scale * math.Sqrt(max(0, mat.Inner(row, f.cov, row)))
}

// lightSystem is the linear problem: unknown are the terms, a level common to all sheets, and
// one for each sheet.
type lightSystem struct {
	origin lightTerms
	sheets map[int]int // column of each sheet's level
	mean   *mat.VecDense
	cov    *mat.SymDense
}

const atCommon = nLight

func newLightSystem(spots []LightSpot, also *LightSpot, opt LightFieldOptions) *lightSystem {
	s := &lightSystem{sheets: map[int]int{}}
	for i := range spots {
		s.column(spots[i].Sheet)
	}
	if also != nil {
		s.column(also.Sheet)
	}
	if opt.Reference != nil {
		s.origin = lightTermsAt(*opt.Reference)
	} else {
		for i := range spots {
			for k, v := range lightTermsAt(spots[i].At) {
				s.origin[k] += v / float64(len(spots))
			}
		}
	}
	n := atCommon + 1 + len(s.sheets)
	precision := mat.NewSymDense(n, nil)
	for k := range n {
		sd := s.priorSD(k, opt)
		precision.SetSym(k, k, 1/(sd*sd))
	}
	right := mat.NewVecDense(n, nil)
	for i := range spots {
		row := s.row(&spots[i])
		for a, va := range row {
			right.SetVec(a, right.AtVec(a)+va*spots[i].Log/(slipSD*slipSD))
			for b := a; b < n; b++ {
				precision.SetSym(a, b, precision.At(a, b)+va*row[b]/(slipSD*slipSD))
			}
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(precision) {
		panic("camera: the priors of a light field do not hold it") // each adds to the diagonal
	}
	s.mean, s.cov = mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	_ = factor.SolveVecTo(s.mean, right)
	_ = factor.InverseTo(s.cov)
	return s
}

func (s *lightSystem) column(sheet int) {
	if _, known := s.sheets[sheet]; !known {
		s.sheets[sheet] = atCommon + 1 + len(s.sheets)
	}
}

func (s *lightSystem) priorSD(column int, opt LightFieldOptions) float64 {
	switch {
	case column < 2:
		return lightSlopeSD
	case column < nLight:
		return lightCurveSD
	case opt.SheetsKnown && (column > atCommon || opt.Reference != nil):
		return sheetKnownSD
	}
	return unknownSD
}

func (s *lightSystem) row(spot *LightSpot) []float64 {
	row := make([]float64, atCommon+1+len(s.sheets))
	for k, v := range lightTermsAt(spot.At) {
		row[k] = v - s.origin[k]
	}
	row[atCommon], row[s.sheets[spot.Sheet]] = 1, 1
	return row
}

// predict is what the system expects of a spot, and the standard deviation of that and of the
// spot's own error together.
func (s *lightSystem) predict(spot *LightSpot) (log, sd float64) {
	row := mat.NewVecDense(s.mean.Len(), s.row(spot))
	return mat.Dot(row, s.mean), math.Sqrt(mat.Inner(row, s.cov, row) + slipSD*slipSD)
}
