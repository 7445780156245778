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
	// colour.hex text=reddish
}
