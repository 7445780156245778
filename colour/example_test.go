package colour_test

import (
	"fmt"

	"huewright/colour"
)

// The first of the published pairs: Sharma, Wu, Dalal (2005), table 1.
func ExampleDeltaE2000() {
	ref := colour.Lab{L: 50, A: 2.6772, B: -79.7751}
	sample := colour.Lab{L: 50, A: 0, B: -82.7485}
	fmt.Printf("%.4f\n", colour.DeltaE2000(ref, sample))
	// Output: 2.0425
}

// White and black of a screen, and a mid grey of L* 50.
func ExampleParseHex() {
	for _, code := range []string{"#ffffff", "#000", "#777777"} {
		c, err := colour.ParseHex(code)
		fmt.Println(c.Linear().Lab(), err)
	}
	_, err := colour.ParseHex("reddish")
	fmt.Println(err)
	// Output:
	// L* 100.0  a* 0.0  b* 0.0 <nil>
	// L* 0.0  a* 0.0  b* 0.0 <nil>
	// L* 50.0  a* 0.0  b* 0.0 <nil>
	// "reddish" is not a colour like #8a5a3c
}

// The smoothest spectrum of a colour has that colour again.
func ExampleSpectrumOf() {
	wood := colour.Lab{L: 44, A: 14, B: 20}
	s := colour.SpectrumOf(wood)
	fmt.Println(s.Lab())
	// Output: L* 44.0  a* 14.0  b* 20.0
}

// A grey card that a camera saw too dark sets exposure right: what reflects as much as the card reads as the card.
func ExampleFitCamera() {
	card := colour.Lab{L: 50}
	seen := card.LinearRGB()
	seen = colour.LinearRGB{R: 0.7 * seen.R, G: 0.7 * seen.G, B: 0.7 * seen.B}
	correction, _, err := colour.FitCamera([]colour.Sample{{Name: "card", Camera: seen, Want: card}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("off by less than 0.5: %v\n", colour.DeltaE2000(card, correction.Apply(seen).Lab()) < 0.5)
	// Output: off by less than 0.5: true
}
