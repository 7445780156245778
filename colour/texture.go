package colour

// A Texture is the appearance of a patch of a surface: its colour, and the grain in it.
type Texture struct {
	Mean      Lab
	Ground    Lab     // mean of the lightest quarter
	Figure    Lab     // mean of the darkest quarter
	Spread    float64 // standard deviation of L*
	Grain     float64 // mean step of L* from one pixel to the next: the contrast of fine grain
	Along     float64 // direction of the grain in degrees, 0–180: 0 to the right, 90 downwards
	Coherence float64 // how much of the grain runs in that one direction, 0–1
}

// A PatchAndRing is a patch of a surface beside the ring of surface round it.
type PatchAndRing struct {
	X, Y  float64 // the middle of the patch, in upright pixels of its photo
	Patch Texture
	Ring  Texture
	// Line is how much lighter (or, below 0, darker) the edge between the two is than both its sides,
	// in L*: 0 for an edge that shows as a step only, or not at all.
	Line float64
}
