package colour

import "huewright/internal/fault"

// A Reading is the colour measured on one area of a photo, with everything needed to know how
// far to trust it. A bare Lab never stands in for one.
type Reading struct {
	Mean   Lab        // averaged in linear light, as an instrument's aperture does
	Spread [3]float64 // standard deviation of L*, a*, b* over the pixels

	LQuantiles [5]float64 // L* at 5, 25, 50, 75 and 95 %
	Ground     Lab        // mean of the lightest quarter, which the trade matches first
	Figure     Lab        // mean of the darkest quarter

	Pixels  int     // that entered the mean
	Dropped Dropped // that did not

	// PlusMinus is the radius, in ΔE00, within which the true colour lies 95 times in 100.
	// It has two components: Systematic is shared by every reading of one photo and cancels from
	// differences within it; Sampling is the area's own.
	PlusMinus, Systematic, Sampling float64

	From     string       // the photo and area it came from, for a person to read
	Warnings []fault.Note // what a careful user should know, each a sentence of its own
}

// Dropped counts the pixels inside an outline that were left out of its reading.
type Dropped struct {
	Glare int // near-clipped, or bright and pale beyond the grain's own range
	Gaps  int // dark outliers: joints, cracks, shadows between boards
}
