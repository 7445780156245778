// Package colour holds the colour science everything else stands on: colours and how they
// convert, the differences between them and the words for those, spectra and the lights they
// are seen under, the correction of a camera from colours it saw, and the summary of many
// colours as one reading.
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
