package spectra_test

import (
	"fmt"

	"huewright/colour"
	"huewright/colour/spectra"
)

// The smoothest spectrum of a colour has that colour again.
func ExampleSmoothest() {
	wood := colour.Lab{L: 44, A: 14, B: 20}
	s := spectra.Smoothest(wood)
	fmt.Println(s.Lab())
	// Output: L* 44.0  a* 14.0  b* 20.0
}
