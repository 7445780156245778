package schedule

import (
	"math"

	"huewright/blend"
)

// A SpreadRate is how much surface a litre of a mix covers in one coat, in m².
type SpreadRate struct {
	Low, High float64
	FromLabel bool // as its label says, and not as is usual
}

// Conversions of US units.
//
// Source: NIST SP 811 (2008), B.8. A US fluid ounce is 1/128 of a gallon.
const (
	litresPerGallon           = 3.785411784
	SquareMetresPerSquareFoot = 0.09290304
	MillilitresPerFluidOunce  = 1000 * litresPerGallon / 128
	SquareFeetPerGallon       = litresPerGallon / SquareMetresPerSquareFoot // of a spread rate of 1 m² a litre
)

const wetMil = 39.37 // spread rate, m² a litre, of a wet film of a thousandth of an inch

// UsualSpread returns the usual spread rate of a coating. The figures are those of
// handbooks and labels as the trade passes them on, from memory; a label comes first.
func UsualSpread(k blend.Kind, p blend.PutOn) SpreadRate {
	switch {
	case k == "toner" || p == blend.Sprayed:
		return SpreadRate{Low: wetMil / 5, High: wetMil / 3} // five wet mil nearly run, three are light
	case k == "glaze" && p == blend.Wiped:
		return SpreadRate{Low: 17, High: 18} // as gel, by hand
	case k == "paint":
		return SpreadRate{Low: 8.6, High: 14.7} // as water-borne finish
	}
	return SpreadRate{Low: 3.7, High: 9.8} // as stain
}

// bareUptake is the volume of a first coat on bare wood, and on porous spots, over that of further coats: 1.15 to 1.3
// for open-pored wood. Common practice, no source.
const bareUptake = 1.3

// Surplus is the default share of a batch that is kept for touch-ups: a mix can seldom be made again. Common practice,
// no source.
const Surplus = 0.15

// An Amount is an area to be coated so many times.
type Amount struct {
	Area    string
	SizeM2  float64
	Coats   int
	Surface blend.Surface
	Laid    bool // it has had a coat already
}

// worth is how many further coats on a surface that absorbs nothing the coats of an amount take as much as.
func (a *Amount) worth() float64 {
	coats := float64(a.Coats)
	if a.Coats > 0 && a.Surface.Absorbs() && !a.Laid {
		coats += bareUptake - 1
	}
	return coats
}

// handM2 is a square as wide as a hand, 10 cm, in m²: what an area without a size is reckoned by. Common practice, no source.
const handM2 = 0.01

// PerHand returns the most, in ml, that all coats of an amount take on a square as wide as a hand.
func (a *Amount) PerHand(rate SpreadRate) float64 { return 1000 * handM2 * a.worth() / rate.Low }

// A Batch is how much to mix of one coating, for all areas at once.
type Batch struct {
	Coating        string
	Amounts        []Amount // those with a size
	Unsized        []Amount // those that get coats and have no size
	Spread         SpreadRate
	Needed         [2]float64 // ml, by the high and the low spread rate
	Mix            float64    // ml to mix: the larger with its surplus, rounded up to what can be measured
	Paint, Thinner float64    // ml of each in Mix
}

// leastBatch is the least that is measured well with a kitchen's or a workshop's cup, in ml. Our own
// choice.
const leastBatch = 20.0

// NewBatch reckons what to mix of a coating whose paint has share 0–1 of the mix. spare is the share of
// Mix that is to be left over; 0 means Surplus.
func NewBatch(coating string, amounts []Amount, rate SpreadRate, share, spare float64) Batch {
	if spare == 0 {
		spare = Surplus
	}
	b := Batch{Coating: coating, Spread: rate}
	coated := 0.0 // m², each coat counted, the first on a thirsty surface more
	for _, a := range amounts {
		switch {
		case a.Coats == 0:
		case a.SizeM2 <= 0:
			b.Unsized = append(b.Unsized, a)
		default:
			b.Amounts = append(b.Amounts, a)
			coated += a.SizeM2 * a.worth()
		}
	}
	if coated == 0 {
		return b
	}
	b.Needed = [2]float64{1000 * coated / rate.High, 1000 * coated / rate.Low}
	b.Mix = measurable(max(leastBatch, b.Needed[1]/(1-spare)))
	b.Paint = b.Mix * share
	b.Thinner = b.Mix - b.Paint
	return b
}

// Of returns how much of the mix is for one of its amounts, in ml.
func (b *Batch) Of(a *Amount) float64 {
	all := 0.0
	for i := range b.Amounts {
		all += b.Amounts[i].SizeM2 * b.Amounts[i].worth()
	}
	return b.Mix * a.SizeM2 * a.worth() / all
}

// UnsizedNames are the names of the areas without a size.
func (b *Batch) UnsizedNames() (names []string) {
	for _, a := range b.Unsized {
		names = append(names, a.Area)
	}
	return names
}

// measurable rounds up to what a cup is marked in: 5 ml up to 100, 10 up to 500, 50 beyond.
func measurable(ml float64) float64 {
	step := 50.0
	switch {
	case ml <= 100:
		step = 5
	case ml <= 500:
		step = 10
	}
	return step * math.Ceil(ml/step-1e-9)
}
