// Package camera corrects what a photo recorded, by surfaces in it whose colour is known.
//
// [Fit] takes a [Sample] for each known surface: the patches of a chart, a grey card, or none. It returns a [Correction]
// and a [Report] of how well that fits and predicts. Every case is the same model (model.go) under priors (prior.go,
// recording.go for raw photos), fitted as least squares (fit.go, fit_problem.go) and refined by what the fit left over (residual.go). The
// correction (correct.go) is applied to pixels through a table (table.go), states its own uncertainty, and can be undone
// (invert.go). Published values of the chart are in chart.go.
//
// [FitJoint] (joint.go and the joint_ files) solves the photos of one piece together. They need not show anything of
// known colour: what is seen unchanged in two of them, a tie point, ties them to one another. A [Joint] gives a
// correction for each photo and the covariance of the errors of any two (joint_covariance.go, pinned.go).
//
// [FitLightField] (light_field.go) estimates how evenly a picture was lit, from slips of one paper.
//
// Uncertainties are radii in ΔE00 that hold 95 of 100 errors; standard deviations are in units of L*, a*, b*. Nothing
// here reads files or prints, and all results may be used by any number of goroutines at once.
//
// Sources: Finlayson, Mackiewicz, Hurlbert (2015), IEEE Trans. Image Process. 24(5), 1460–1470, for the
// root-polynomial; Rasmussen, Williams (2006), Gaussian Processes for Machine Learning, for the residuals. The joint fit
// with priors is ours.
package camera
