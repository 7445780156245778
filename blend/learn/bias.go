package learn

import (
	"maps"
	"math"
	"slices"

	"huewright/blend"
)

// An Outcome is the predicted colour of an area beside the measured one.
type Outcome struct {
	Piece, Area string
	Coats       float64    // laid since the prediction
	Residual    [3]float64 // L*, a*, b* measured less predicted
	Step        [3]float64 // predicted change of them by the last of the coats
	PlusMinus   float64    // 95 % radius of Residual, ΔE00
	DeltaE      float64    // size of Residual, ΔE00
}

const (
	// betweenPeopleSD is the standard deviation of Bias.Film from person to person. Our own choice.
	betweenPeopleSD = 0.15
	// expectedSquare is the mean of (ΔE00 / 95 % radius)² where ranges hold as often as they say: 0.26 for
	// errors along one line, 1/1.96², and 0.38 for errors all round, 3/2.80². Those of coats lie between.
	expectedSquare = 0.32
	// priorAreas is the weight, in areas of a log, of the prior that ranges are as wide as they should be. Our
	// own choice.
	priorAreas = 8.0
)

// BiasOf estimates the operator bias that outcomes have in common. Few pieces change little.
//
// The film: n coats that are all f times as thick change a colour by about n·(f − 1) times what the last of them did,
// so that ln f is the projection of Residual on n·Step. The estimates of each piece, and then of all pieces and the
// prior, are averaged by their inverse variances.
//
// The width: the mean, over areas, of the squared Residual over its radius, divided by its expected value, with
// priorAreas areas of the expected value put in. Our own derivation.
func BiasOf(outcomes []Outcome) Bias {
	var b Bias
	films := map[string]*weightedMean{} // by piece
	for i := range outcomes {
		if ln, variance, ok := outcomes[i].logFilm(); ok {
			f := films[outcomes[i].Piece]
			if f == nil {
				f = &weightedMean{}
				films[outcomes[i].Piece] = f
			}
			f.add(ln, variance)
		}
	}
	var all weightedMean
	all.add(0, betweenPeopleSD*betweenPeopleSD)
	for _, name := range slices.Sorted(maps.Keys(films)) {
		ln, variance := films[name].estimate()
		all.add(ln, variance+boardSD*boardSD)
	}
	b.Film, _ = all.estimate()
	if len(films) == 0 {
		b.Film = 0
	}
	squares := map[string][]float64{} // by area
	for _, o := range outcomes {
		if o.PlusMinus > 0 {
			key := o.Piece + "\x00" + o.Area
			squares[key] = append(squares[key], o.relativeSquare(b.Film))
		}
	}
	sum, n := priorAreas, priorAreas
	for _, key := range slices.Sorted(maps.Keys(squares)) {
		sum, n = sum+mean(squares[key])/expectedSquare, n+1
	}
	if wider := math.Sqrt(sum / n); wider > 1 {
		b.Wider = min(3, wider)
	}
	return b
}

// logFilm returns the logarithm of the film over the predicted one and its variance, from the errors of reading and
// prediction and the application variability. It is not ok where the last coat was to change too little to tell.
func (o *Outcome) logFilm() (ln, variance float64, ok bool) {
	along, square := 0.0, 0.0
	for i, s := range o.Step {
		along, square = along+s*o.Residual[i], square+s*s
	}
	const least = 1.0 // length of a step in CIELAB units
	if square < least*least || o.Coats <= 0 {
		return 0, 0, false
	}
	noise := o.PlusMinus / radiusPerSD / (math.Sqrt(square) * o.Coats)
	variability := blend.Brushed.Variability()
	return min(1, max(-1, along/(square*o.Coats))), noise*noise + variability*variability/o.Coats, true
}

// A weightedMean averages estimates by their inverse variances.
type weightedMean struct{ sum, weight float64 }

func (f *weightedMean) add(v, variance float64) {
	f.sum, f.weight = f.sum+v/variance, f.weight+1/variance
}

func (f *weightedMean) estimate() (v, variance float64) { return f.sum / f.weight, 1 / f.weight }

// relativeSquare returns the square of DeltaE over its radius, less the share that a bias of the film explains.
func (o *Outcome) relativeSquare(film float64) float64 {
	whole, left := 0.0, 0.0
	for i, off := range o.Residual {
		rest := off - film*o.Coats*o.Step[i]
		whole, left = whole+off*off, left+rest*rest
	}
	if whole == 0 {
		return 0
	}
	return left / whole * o.DeltaE * o.DeltaE / (o.PlusMinus * o.PlusMinus)
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
