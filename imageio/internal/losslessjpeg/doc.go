// Package losslessjpeg decodes the JPEG of raw photos: process 14, sequential, by Huffman codes, of 2 to 16 bits and up to
// four components, none of them subsampled.
//
// [Size] reads the header; [Decode] decodes the samples, row by row with the components of a place one after the other. Predictors 1
// to 7, a point transform and restart intervals are read. Everything it refuses is an error of this package; it takes no memory for
// samples beyond what the caller gives.
//
// header.go reads the marker segments, huffman.go and bits.go the codes, decode.go predicts.
//
// Source: ITU-T T.81 (1992), annexes B, C, F.2.2 and H.
package losslessjpeg
