package plan

import "math"

// Bounds of a strength that is said in parts. Our own choice, well within what one coat by hand differs from the next.
const (
	nearFull    = 0.9  // a share of the mix above it is the mix as it is
	partsWithin = 0.05 // of the share, relative: how far whole parts may be from it
	mostThinner = 60   // parts
)

// strengthParts returns the fewest whole parts of a mix, and of thinner to them, that make it share times as strong; share is 0–1, and
// whole parts come within 5 % of it. No thinner stands for a mix that is as good as undiluted, and where none comes so near.
func strengthParts(share float64) (mix, thinner int) {
	if share > nearFull {
		return 1, 0
	}
	for all := 2; all <= mostThinner+1; all++ {
		for mix = 1; mix < all; mix++ {
			if math.Abs(float64(mix)/float64(all)/share-1) <= partsWithin {
				return mix, all - mix
			}
		}
	}
	return 1, 0
}
