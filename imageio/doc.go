// Package imageio opens photos and writes pictures. It owns what every room below it reads: the light of a
// photo's pixels, upright, and the outlines that people draw on it.
//
// Begin with [Open], which gives a [Photo]. [Photo.Linear] is the light at one pixel; [Photo.Gather] reads those
// of an [Outline], whose [Outline.Spans] lists them. Readings of an outline are the work of imageio/sample.
//
// The files in the order of the work: open.go (a file becomes a Photo), raster.go and orientation.go (its codes,
// upright), photo.go (its light), raw.go (that of raw photos), outline.go, outline_check.go, outline_text.go and spans.go (outlines),
// gather.go (the pixels of one), mean_codes.go, downsample.go and screen.go (quick ways for many pixels), light.go (light over the
// piece), write.go. What lies round the pixels in a file is read by imageio/internal/container, colour profiles by
// imageio/internal/icc.
//
// # Conventions
//
//   - Pixels are upright: whatever the file says about orientation has been applied. The
//     origin is the top-left corner of the top-left pixel, x runs right and y down, so the
//     centre of the first pixel is (0.5, 0.5).
//   - A Photo keeps the decoded picture as its file stored it, or, of most JPEGs, decodes parts of it where
//     they are asked for. Light is computed from it on demand: an outline touches a few per cent of a photo,
//     and converting the whole of it would take longer than decoding.
//   - Formats are told by content, never by the name of the file.
//   - What takes a context stops within a moment of its end and returns its error, whatever other errors
//     are promised; what it returns beside that is not to be used.
//   - The package prints nothing. Faults and warnings are data (internal/fault).
package imageio
