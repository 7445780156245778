// Package imageio owns every byte and pixel of a photo: decoding, uprightness, the embedded
// profile, what the camera noted, the outlines people draw, and the readings taken inside
// them. It also writes pictures.
//
// # Conventions
//
//   - Pixels are upright: whatever the file says about orientation has been applied. The
//     origin is the top-left corner of the top-left pixel, x runs right and y down, so the
//     centre of the first pixel is (0.5, 0.5).
//   - A Photo keeps the decoded picture as its file stored it. Light is computed from it on
//     demand: an outline touches a few per cent of a photo, and converting the whole of it
//     would take longer than decoding.
//   - Formats are told by content, never by the name of the file.
//   - What takes a context stops within a moment of its end and returns its error, whatever other errors
//     are promised; what it returns beside that is not to be used.
//   - The package prints nothing. Warnings are data, and each is a sentence of its own.
package imageio
