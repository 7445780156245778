// Package colour holds the colour science that the rest of the module stands on: colours and how they convert,
// the differences between them and the words for those, and the summary of many colours as one [Reading].
//
// Begin with [Lab] (colour.go) and the conversions to and from it (convert.go, white.go). [DeltaE2000] compares two
// colours, [DescribeDifference] says what the difference looks like, [Summarise] makes a [Reading] of the light of many
// places, and [Radius95] turns a covariance of errors into one radius.
//
// Two packages below it have their own subjects: colour/spectra the reflectance behind a colour, colour/camera
// the correction of a photo from colours that it shows.
//
// # Conventions
//
// They hold in the whole module; exceptions stand on the function.
//
//   - White and observer are D65 and the CIE 1931 2° standard observer. Data published for
//     D50, as most chart tables are, are adapted once, by Bradford, where they enter.
//   - L* runs 0–100. Reflectance and linear light run 0–1 and are kept, not clipped, when
//     they fall outside. Hue is in degrees, [0, 360).
//   - LinearRGB has the primaries of sRGB (IEC 61966-2-1) and no transfer curve. "Encoded"
//     means that curve has been applied.
//   - Arithmetic is float64. float32 is for pixel buffers only.
//   - The package does no input or output and prints nothing: warnings are data.
package colour
