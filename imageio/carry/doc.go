// Package carry finds a flat face of one photo again in another, so that outlines that were drawn in the one can be carried over.
//
// [Find] gives a [Match]. It stands on the printed slips that both photos show, or, without any, on the picture alone: then it is a
// proposal, to be shown before anything is measured by it. [Match.Judge] says of one outline whether its edges are found again where it
// was carried to, and whether it has changed its colour.
//
// The files in the order of the work: picture.go (small grey pictures), pose.go (slips whose size is known, seen by cameras whose focal
// length is), feature.go (what can be told again), agree.go (a homography that many pairs agree about), align.go (laid over one another
// to a fraction of a pixel), find.go, relief.go (areas before and behind one another), sweep.go (those of which
// little is seen), judge.go.
package carry
