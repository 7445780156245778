// Package region finds all of a wood from taps on it: stiles and rails together, knobs and slips left out.
//
// Begin with [Divide], which cuts a photo into some two thousand cells of one colour each, once for each photo. [Cells.Take] then grows
// taps to everything that looks like what was tapped and hangs together with it, as a [Mask]: its outlines are polygons with holes in
// pixels of the photo, like those that people draw. A mask is a proposal: show it before anything is measured from it.
//
// The files in the order of the work: small.go (a small picture in linear light), cells.go (its cells), graph.go (which cells touch, and
// how unlike they are), heap.go (a queue of what is nearest), mixture.go (the colours of the wood and of the rest), cut.go (the cheapest
// border between them), take.go (taps to mask), spots.go (filler and old repairs within it), outline.go (mask to polygons).
package region
