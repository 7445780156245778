// Package spectra supplies what three numbers do not say: the reflectance of a surface from band to band, which is
// what films are laid over and lights fall on.
//
// A [Spectrum] (spectrum.go) is seen under a [Light] (light.go) as an XYZ or a Lab. The other way round many
// spectra, called metamers, have one colour. [Smoothest] (smoothest.go, newton.go) is the one that changes least
// from band to band; it serves for any colour. For woods, which are not as smooth as that, [PriorSpectrum]
// is the likeliest, and [Metamer] gives the others by their deviations from it in a metameric basis (metamer.go,
// basis.go). [PriorOf] and [BandJacobian] (prior.go, jacobian.go) give the derivatives that a fit needs.
//
// Reflectance R is handled as z with R = (1 + tanh z)/2, which keeps it within 0–1.
//
// Sources: CIE 15:2018, ASTM E308 and E2022 for colours from spectra; Burns (2020), Color Res. Appl. 45(1), 8–21,
// for the smoothest spectrum. The prior and its basis are ours.
package spectra
