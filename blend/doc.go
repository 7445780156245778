// Package blend models what coats do to a wood: translucent films, coatings that build up coat by coat, surfaces,
// clear coats, mixtures, and which layer may lie on which.
//
// Begin with [Film], one coat at one wavelength, and [Coating], a film in each band. The packages below use them:
// learn finds a coating from measured test coats, plan counts coats, repair judges touched-up spots, and schedule says
// when coats go on and how much to mix. Read film, saunderson and slopes, surface, coating, layers, mix, clear.
//
// # Conventions
//
// They hold in the packages below too; exceptions stand on the function.
//
//   - Colours and spectra follow package colour: D65, 2° observer, reflectance 0–1.
//   - The unit of thickness is one coat of the mix that is being planned. K and S are what one
//     such coat absorbs and scatters; coats may be fractional.
//   - A dilution is the paint's share of the mix by volume: 1 part paint to 4 parts water is
//     0.2. A film is taken to be in proportion to it; mixed coatings add by volume.
//   - Every coat leaves as much film as the one before. That holds for a wash, a toner, a
//     brushed glaze and an unwiped dye; a stain or glaze wiped off again leaves less each time,
//     and the first coat on a surface that absorbs leaves more.
//   - Coats work inside a surface of their own, which turns a part of their light back; the first coat wets
//     bare wood once. How far is known of neither beforehand: see [Coating.Surface] and [Coating.Wetting].
//   - What takes a context stops within a moment of its end and returns its error, whatever other errors
//     are promised; what it returns beside that is not to be used.
//   - There is no input or output, and nothing is printed: warnings are data.
//
// # Not modelled
//
// How a wiped coat depends on the time it was left, colours that bleed from one layer into another, gloss, and wood
// that darkens with the years.
package blend
