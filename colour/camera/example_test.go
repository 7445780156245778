package camera_test

import (
	"fmt"

	"huewright/colour"
	"huewright/colour/camera"
)

// A grey card that a camera saw too dark sets exposure right: what reflects as much as the card reads as the card.
func ExampleFit() {
	card := colour.Lab{L: 50}
	seen := card.LinearRGB()
	seen = colour.LinearRGB{R: 0.7 * seen.R, G: 0.7 * seen.G, B: 0.7 * seen.B}
	correction, _, err := camera.Fit([]camera.Sample{{Name: "card", Camera: seen, Want: card}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("off by less than 0.5: %v\n", colour.DeltaE2000(card, correction.Apply(seen).Lab()) < 0.5)
	// Output: off by less than 0.5: true
}
