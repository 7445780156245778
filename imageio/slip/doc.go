// Package slip is about the slips that people print on plain paper, cut out and lay beside the wood: what is on them, where a photo
// shows them, and their colours.
//
// A slip is a dark square frame on paper. Within it stands a ring of cells, each dark or paper, that tells which slip it is and which
// way is up; within the ring are nine patches. Nothing needs to be known of the patches' colours: the same slip in two photos ties
// the two in several colours at once. Its size tells the scale, and its corners how the face under it is seen.
//
// [Find] finds all slips in a photo and [Read] reads the patches of one. [Design.Marks] is what a printer puts on the paper.
//
// In the order of the work: design.go (sizes, patches), code.go (the ring of cells), find.go (the search), mask.go and components.go
// (dark shapes of a slip's kind), quad.go (their four corners), frame.go (the frame fitted to a fraction of a pixel), ring.go (which slip),
// read.go (its colours). [At] reads a slip at corners that somebody gave: given.go.
//
// # Sizes
//
// Places on a slip are in millimetres from the top left outer corner of its frame, x to the right and y down, on paper that is
// printed at its full size. The frame is 60 wide outside and 5 thick; cells are 5 × 5; patches are 12 × 12, 1 apart from one another
// and from the cells. The paper is cut 6 outside the frame, so that a slip is 72 × 72.
package slip
