// Package rawfile writes raw photos in the open format DNG, for tests and for the virtual bench. It shares nothing with the reader
// (imageio/internal/dng), so that the two can only agree on what the format says.
//
// A [Photo] is samples and what is to be said of them; [Photo.Bytes] is the file. tiff.go lays out directories, ljpeg.go codes
// samples by lossless JPEG, opcodes.go writes lens shading.
//
// Sources: TIFF 6.0; ITU-T T.81 (1992), annex H; DNG 1.7, from memory.
package rawfile
