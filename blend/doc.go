// Package blend holds what coats do: how a translucent film changes the wood under it, how a
// coating is learned from an opaque chip and a few test coats, and how many coats of what is
// on the shelf bring an area nearest to a target.
//
// # Conventions
//
// They hold in the whole package; exceptions stand on the function.
//
//   - Colours and spectra follow package colour: D65, 2° observer, reflectance 0–1.
//   - The unit of thickness is one coat of the mix that is being planned. K and S are what one
//     such coat absorbs and scatters; coats may be fractional.
//   - A dilution is the paint's share of the mix by volume: 1 part paint to 4 parts water is
//     0.2. Film left behind is taken to be in proportion to it; mixed coatings add by volume.
//   - Every coat leaves as much film as the one before. That holds for a wash, a toner, a
//     brushed glaze and an unwiped dye; a stain or glaze wiped off again leaves less each time,
//     and the first coat on a surface that absorbs leaves more.
//   - What is known is a Survey; what it leaves open are Worlds, drawn with the probability they
//     have. Whatever is said of what coats will do is said by counting worlds.
//   - Colours are as the home photo shows them, the one with most of the evidence: what that photo
//     itself has wrong is wrong about areas and targets alike, and cancels.
//   - What takes a context stops within a moment of its end and returns its error, whatever other errors
//     are promised; what it returns beside that is not to be used.
//   - The package does no input or output and prints nothing: warnings are data.
//
// # Not in it
//
// How a wiped coat depends on the time it was left, colours that bleed from one layer into another, gloss, and wood
// that darkens with the years.
package blend
