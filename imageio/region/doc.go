// Package region finds all of a wood from taps on it: stiles and rails together, knobs and slips left out.
//
// Begin with [Divide], which cuts a photo into some two thousand cells of one colour each, once for each photo. [Cells.Take] then grows
// taps to everything that looks like what was tapped and hangs together with it, as a [Mask]: its outlines are polygons with holes in
// pixels of the photo, like those that people draw. A mask is a proposal: show it before anything is measured from it.
//
// What it cannot tell: where one piece ends and the next of the same wood begins, as in a fitted kitchen. Of fourteen regions outlined by
// hand, half of them pieces of one kitchen, the way from one tap comes to 0.68 even if it is cut off where that is best for each, and
// colours to 0.65 even if those of each are known; a tap that says no parts them. Nor can it tell a test coat of the wood's own colour from
// the wood: drawn panels come to 0.92 with such coats, and to 0.96 where the coats are told.
//
// The files in the order of the work: small.go (a small picture in linear light), cells.go (its cells), graph.go (which cells touch, and
// how unlike they are), heap.go (a queue of what is nearest), mixture.go (the colours of the wood and of the rest), cut.go (the cheapest
// border between them), take.go (taps to mask), spots.go (filler and old repairs within it), outline.go (mask to polygons).
package region
