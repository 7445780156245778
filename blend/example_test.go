package blend_test

import (
	"fmt"
	"math"

	"huewright/blend"
)

// A dye scatters nothing, so that light crosses it twice and Beer and Lambert's law holds: two coats of
// K = 0.1 over a ground of 0.5 leave 0.5·exp(−2·0.1·2). A film that hides, over black, tends to K and S alone.
func ExampleFilm_Over() {
	dye := blend.Film{K: 0.1}
	fmt.Printf("%.4f %.4f\n", dye.Over(0.5, 2), 0.5*math.Exp(-0.4))
	paint := blend.Film{K: 0.05, S: 0.4}
	fmt.Printf("%.3f %.3f\n", paint.Over(0, 500), paint.Limit())
	// Output:
	// 0.3352 0.3352
	// 0.610 0.610
}
