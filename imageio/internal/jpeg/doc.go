// Package jpeg reads JPEG files of which few pixels are wanted. It goes through the coded data once, decoding no more than
// the means of the blocks and keeping where it was every few of them; from there any part is decoded when it is asked for,
// at full size or at a half, a quarter or an eighth of it.
//
// [Open] reads a file into a [Picture], whose [Picture.View] gives the sizes. It takes what cameras and programs write. All
// else (other numbers of colours, arithmetic coding, anything damaged or out of place) is [ErrOther]: the standard library
// then says what is to be made of it. What it takes comes out as the standard library's decoder has it, to the last code.
//
// The files in the order of the work: header.go (markers and tables), entropy.go (coded data without what pads it),
// huffman.go (codes), index.go (the pass that skips), block.go (coefficients), transform.go and reduce.go (samples), picture.go
// and view.go (pixels).
//
// Source: ITU-T T.81 (09/1992).
package jpeg
