package schedule

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
)

// Published conversions: a US gallon is 3.785411784 L and a square foot 0.09290304 m² (NIST SP 811), so
// that 1 ft²/gal is 0.02454 m²/L.
func TestUnitsOfSpread(t *testing.T) {
	require.InDelta(t, 0.02454, 1/SquareFeetPerGallon, 5e-6)
	require.InDelta(t, 29.5735, MillilitresPerFluidOunce, 5e-5)
	require.InDelta(t, 150, UsualSpread("stain", blend.Brushed).Low*SquareFeetPerGallon, 1.5, "about 150 ft² a gallon")
	require.InDelta(t, 400, UsualSpread("stain", blend.Brushed).High*SquareFeetPerGallon, 1.5)
}

// Handbook arithmetic, one example for each way to put on: area × coats ÷ spread, with its spare.
func TestBatch(t *testing.T) {
	frame := Amount{Area: "frame", SizeM2: 0.62, Coats: 3, Surface: blend.Sealed}
	panel := Amount{Area: "panel", SizeM2: 0.31, Coats: 1, Surface: blend.Sealed}
	wash := NewBatch("wash", []Amount{frame, panel}, UsualSpread("wash", blend.Brushed), 0.2, 0)
	// (0.62·3 + 0.31)/3.7 = 0.5865 L; over 0.85 it is 690 ml, so 700.
	require.InDelta(t, 586.5, wash.Needed[1], 0.1)
	require.InDelta(t, 221.4, wash.Needed[0], 0.1)
	require.InDelta(t, 700, wash.Mix, 1e-9)
	require.InDelta(t, 140, wash.Paint, 1e-9)
	require.InDelta(t, 560, wash.Thinner, 1e-9)

	// Bare wood takes up more in its first coat: 0.62·(3 + 0.3)/3.7; not once it has had one.
	bare := frame
	bare.Surface = blend.Bare
	require.InDelta(t, 1000*0.62*3.3/3.7, NewBatch("stain", []Amount{bare}, UsualSpread("stain", blend.Wiped), 1, 0).Needed[1], 0.1)
	bare.Laid = true
	require.InDelta(t, 1000*0.62*3/3.7, NewBatch("stain", []Amount{bare}, UsualSpread("stain", blend.Wiped), 1, 0).Needed[1], 0.1)

	// A sprayed coat of three wet mil is 39.4/3 m² a litre.
	toner := NewBatch("toner", []Amount{panel}, UsualSpread("toner", blend.Sprayed), 1, 0)
	require.InDelta(t, 1000*0.31/(39.4/3), toner.Needed[0], 0.1)
	// By hand as gel: 1 m² of one coat is 56–59 ml; with a label's 10 m²/L it is 100.
	square := []Amount{{Area: "top", SizeM2: 1, Coats: 1}}
	require.InDelta(t, 1000.0/17, NewBatch("glaze", square, UsualSpread("glaze", blend.Wiped), 1, 0).Needed[1], 0.1)
	require.InDelta(t, 100, NewBatch("glaze", square, SpreadRate{10, 10, true}, 1, 0).Needed[1], 1e-9)
	require.InDelta(t, 130, NewBatch("glaze", square, SpreadRate{10, 10, true}, 1, 0.2).Mix, 1e-9,
		"100 ml over 0.8 is 125, in a cup marked in tens 130")

	// Not less than can be measured, and what has no size is named.
	speck := NewBatch("wash", []Amount{{Area: "corner", SizeM2: 0.001, Coats: 1}, {Area: "back", Coats: 2}, {Area: "top", SizeM2: 1}},
		UsualSpread("wash", blend.Brushed), 0.2, 0)
	require.InDelta(t, 20, speck.Mix, 1e-9)
	require.Equal(t, []string{"back"}, speck.UnsizedNames())
	require.Len(t, speck.Amounts, 1)
	require.Zero(t, NewBatch("wash", nil, UsualSpread("wash", blend.Brushed), 0.2, 0).Mix)
}

// TestBatchOfEachFamily reckons a job of each family as a handbook would, by area × coats ÷ spread rate,
// with 15 % to spare; the figures are worked by hand. 10 ft² are 0.9290304 m² (NIST SP 811, B.8).
func TestBatchOfEachFamily(t *testing.T) {
	for name, c := range map[string]struct {
		kind    blend.Kind
		putOn   blend.PutOn
		amount  Amount
		needed  [2]float64
		mix     float64
		surplus float64
	}{
		"stain on 2 m² of bare wood, which takes 1.3 times": {
			"stain", blend.Wiped, Amount{Area: "top", SizeM2: 2, Coats: 1, Surface: blend.Bare}, [2]float64{265.3, 702.7}, 850, 0,
		},
		"three coats of a wash on 0.62 m²": {
			"wash", blend.Brushed, Amount{Area: "frame", SizeM2: 0.62, Coats: 3, Surface: blend.Sealed}, [2]float64{189.8, 502.7}, 600, 0,
		},
		"two coats of paint on 10 ft²": {
			"paint", blend.Brushed, Amount{Area: "side", SizeM2: 0.9290304, Coats: 2}, [2]float64{126.4, 216.1}, 260, 0,
		},
		"a sprayed toner on 1 m²": {
			"toner", blend.Sprayed, Amount{Area: "door", SizeM2: 1, Coats: 1}, [2]float64{76.2, 127.0}, 150, 0,
		},
		"a wiped glaze on 1 m²": {
			"glaze", blend.Wiped, Amount{Area: "door", SizeM2: 1, Coats: 1}, [2]float64{55.6, 58.8}, 70, 0,
		},
		"the same, a third of it to spare": {
			"glaze", blend.Wiped, Amount{Area: "door", SizeM2: 1, Coats: 1}, [2]float64{55.6, 58.8}, 90, 1.0 / 3,
		},
		"a handle, of which less cannot be measured": {
			"wash", blend.Brushed, Amount{Area: "knob", SizeM2: 0.004, Coats: 1}, [2]float64{0.4, 1.1}, 20, 0,
		},
	} {
		b := NewBatch("coating", []Amount{c.amount}, UsualSpread(c.kind, c.putOn), 0.2, c.surplus)
		require.InDelta(t, c.needed[0], b.Needed[0], 0.1, name)
		require.InDelta(t, c.needed[1], b.Needed[1], 0.1, name)
		require.Equal(t, c.mix, b.Mix, name)
		require.InDelta(t, c.mix/5, b.Paint, 1e-9, name)
	}
}
