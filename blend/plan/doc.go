// Package plan says how many coats of which coating each area of a piece gets.
//
// It takes a [Problem], the areas of a piece with their targets, and the posterior samples of package
// learn: what the coatings and colours may be. [Make] returns the [Plan], [Mixes] what could be mixed from
// the shelf instead, [NextTests] which test would bring the end nearer. [Expect] and [Predict] say what an
// area will look like and whether a reading agrees; a [Renderer] does the same for each spot of a picture.
//
// # Conventions
//
//   - A colour is an index into Sample.Colours, a coating an index into Sample.Coatings, the shelf. Both
//     are the same in all samples.
//   - The best sample is the most probable one. What may be else is read off the drawn samples, which
//     are equally likely: a range holds 80 of 100 of them, PlusMinus 95.
//   - Colours are compared as they will be seen: under the clear coat to come, where there is one.
//   - Grain is the share of its contrast that the coats leave: of the logarithm of the light quartile's luminance
//     over the dark one's; NaN where the area has none to speak of, and on spots that absorb nothing.
//   - Areas of one target, or of none, are to look alike. A figure of a plan is the median over the samples.
//   - Thresholds are our own choice unless a source is named.
//
// # Reading order
//
// problem.go, model.go (what coats do to an area in one sample), planner.go (the same in all samples), order.go
// (which layers are looked at), searchspace.go (the best counts in one sample), candidate.go (what is minimised in
// all of them), choose.go (the plans that none beats), path.go and plan.go (what is said of them), whatif.go (the
// same of counts that somebody names); nexttest.go, ends.go (what plans come to after a test) and regression.go; shortfall.go and
// infeasible.go for targets out of reach; recipe.go and mix.go for mixes; held.go (areas brought to one colour), ideal.go and candidates.go
// for what to buy; touchup.go, spot.go (a spot under the coats to come), ways.go (what is tried on it) and bestway.go (what is chosen) for
// filled spots. The other files stand by themselves.
package plan
