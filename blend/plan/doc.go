// Package plan says how many coats of which coating each area of a piece gets.
//
// It takes a [Problem], the areas of a piece with their targets, and the posterior samples of package
// learn: what the coatings and colours may be. [Make] returns the [Plan], [Mixes] what could be mixed from
// the shelf instead, [NextTests] which test coat would narrow the counts most. [Expect] and [Predict] say
// what an area will look like and whether a reading agrees; a [Renderer] does the same for each spot of a
// picture.
//
// # Conventions
//
//   - A colour is an index into Sample.Colours, a coating an index into Sample.Coatings, the shelf. Both
//     are the same in all samples.
//   - The best sample is the most probable one. What may be else is read off the drawn samples, which
//     are equally likely: a range holds 80 of 100 of them, PlusMinus 95.
//   - Colours are compared as they will be seen: under the clear coat to come, where there is one.
//   - Grain is the ratio of the contrast of light and dark grain after the coats to that before any;
//     NaN where the area has none to speak of.
//   - Where areas have no target they are brought to meet one another: the two that differ most are
//     made to differ least.
//   - Thresholds are our own choice unless a source is named.
//
// # Reading order
//
// problem.go, model.go (what coats do to an area in one sample), planner.go and candidate.go (the same in
// all samples), then for one area select.go, stack.go, path.go, choice.go, shortfall.go and plan.go; for
// areas that meet searchspace.go and meet.go; for mixes recipe.go and mix.go. The other files stand by
// themselves.
package plan
