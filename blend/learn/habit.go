package learn

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"huewright/blend"
)

// A Bias is how coats have come out on earlier pieces, beside what was foreseen of them, as a log
// tells. Its zero value is that of somebody nothing is known of.
type Bias struct {
	// Film is the mean, over pieces, of the logarithm of the film that coats left over what was
	// foreseen: above 0 for a heavy hand.
	Film float64 `json:"film,omitempty"`
	// Wider is by how much ranges have to be wider than the evidence alone leaves them to hold as
	// often as they say; 0 and less than 1 mean 1.
	Wider float64 `json:"wider,omitempty"`
}

func (h Bias) wider() float64 { return max(1, h.Wider) }

// problem says what is impossible about a habit, or nothing.
func (h Bias) problem() string {
	if !(math.Abs(h.Film) <= 3) || !(h.Wider >= 0 && h.Wider <= 10) {
		return fmt.Sprintf("no hand lays %.2f times the film, with ranges %v times as wide", math.Exp(h.Film), h.Wider)
	}
	return ""
}

// An Outcome is a colour that was foreseen of an area, and what came of it.
type Outcome struct {
	Piece, Area string
	Coats       float64    // that were laid since it was foreseen
	Residual    [3]float64 // L*, a*, b* measured, less those foreseen
	Step        [3]float64 // what the last of the coats was to change of them
	PlusMinus   float64    // 95 % radius, ΔE00, of the difference between the two
	DeltaE      float64    // between them
}

const (
	// personSD is the standard deviation, from person to person, of the mean logarithm of the film
	// that they lay over what was foreseen. Our own choice.
	personSD = 0.15
	// usualSquare is the mean of (ΔE00 / 95 % radius)² where ranges are as wide as they should be:
	// 0.26 for errors along one line, 1/1.96², and 0.38 for errors all round, 3/2.80². Those of
	// coats lie between.
	usualSquare = 0.32
	// patience is how many areas a log has to have before what it says counts as much as the usual.
	// Our own choice.
	patience = 8.0
)

// BiasOf finds what outcomes have in common. All outcomes of one piece count together as one
// finding of the film; those of an area as one of how wide ranges have to be. Few pieces change
// little.
//
// The film: coats that are all f times as thick change a colour by about n times what the last of n
// coats did, for each part by which f exceeds 1, so that ln f is the projection of Off on n·Step.
// Each counts by its variance, and that people differ in their hands by personSD counts too, so that
// few and unsure outcomes change little. The width: the mean square of what is off over its radius, beside the usual, with some areas' worth of
// the usual put in. Our own derivation.
func BiasOf(outcomes []Outcome) Bias {
	var h Bias
	films := map[string]*finding{} // by piece
	for i := range outcomes {
		if ln, variance, ok := outcomes[i].film(); ok {
			f := films[outcomes[i].Piece]
			if f == nil {
				f = &finding{}
				films[outcomes[i].Piece] = f
			}
			f.add(ln, variance)
		}
	}
	var all finding
	all.add(0, personSD*personSD)
	for _, name := range slices.Sorted(maps.Keys(films)) {
		ln, variance := films[name].value()
		all.add(ln, variance+unevenBoard*unevenBoard)
	}
	h.Film, _ = all.value()
	if len(films) == 0 {
		h.Film = 0
	}
	squares := map[string][]float64{} // by area
	for _, o := range outcomes {
		if o.PlusMinus > 0 {
			key := o.Piece + "\x00" + o.Area
			squares[key] = append(squares[key], o.beyond(h.Film))
		}
	}
	sum, n := patience, patience
	for _, key := range slices.Sorted(maps.Keys(squares)) {
		sum, n = sum+mean(squares[key])/usualSquare, n+1
	}
	if wider := math.Sqrt(sum / n); wider > 1 {
		h.Wider = min(3, wider)
	}
	return h
}

// film is the logarithm of the film over what was foreseen, and its variance: what the reading and
// the forecast may be off, and how unevenly a hand lays coats. It is not ok where the last coat was to
// change too little to tell.
func (o *Outcome) film() (ln, variance float64, ok bool) {
	along, square := 0.0, 0.0
	for i, s := range o.Step {
		along, square = along+s*o.Residual[i], square+s*s
	}
	const least = 1.0 // of a step, in CIELAB units, beside which readings are not all noise
	if square < least*least || o.Coats <= 0 {
		return 0, 0, false
	}
	noise := o.PlusMinus / inRadius / (math.Sqrt(square) * o.Coats)
	hand := blend.PutOn(blend.Brushed).Unevenness()
	return min(1, max(-1, along/(square*o.Coats))), noise*noise + hand*hand/o.Coats, true
}

// A finding is figures of one thing, each counting by its variance.
type finding struct{ sum, weight float64 }

func (f *finding) add(v, variance float64) {
	f.sum, f.weight = f.sum+v/variance, f.weight+1/variance
}

func (f *finding) value() (v, variance float64) { return f.sum / f.weight, 1 / f.weight }

// beyond is the square of what is off over its radius, once the film is allowed for.
func (o *Outcome) beyond(film float64) float64 {
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
