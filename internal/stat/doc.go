// Package stat has the few pieces of statistics and of small linear algebra that several packages need, each defined
// once: [Quantiles] (quantile.go), the [Moments] of triples of numbers with distances and densities under them
// (moments.go), and [Inverse3] and [Solve4] (linear.go), for systems so small, and solved so often, that the memory of a
// general solver would cost more than the solution. Larger systems are gonum's.
package stat
