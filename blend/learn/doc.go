// Package learn infers what coatings do from what was measured of them: a Bayesian regression whose unknowns
// are the absorption and scattering of each coating at some wavelengths and how its coats build up.
//
// [Dataset.Draw] takes a [Dataset] (coatings with their opaque chips and test coats, the colours of the piece,
// spots seen under the clear coat) and returns [Samples]: draws from the posterior distribution, equally likely,
// and one central sample. Whatever is then said of coats is said by counting samples. [BiasOf] finds what
// earlier pieces have in common: how heavily and how evenly somebody lays coats.
//
// Read the files in this order: evidence and check (what goes in), readings and errors (which colours were
// measured, and the covariance of their errors), unknowns and prior, observation, coating and clear (the models),
// problem, normal, whitening and fit (the most probable point), solution, condition and draw (the samples),
// sample, report and warnings (what comes out). bias and ageing stand alone.
//
// # Conventions
//
//   - Errors of readings are standard deviations and covariances in L*, a*, b*. A radius is a 95 % radius in ΔE00.
//   - Colours are as the reference photo shows them, the one that most of the evidence comes from: what that photo
//     has wrong is wrong about areas and targets alike, and cancels.
//   - An unknown is a logarithm or a logit, so that every value of it is possible.
//   - Impossible input gives a fault; weak or contradictory evidence gives warnings.
package learn
