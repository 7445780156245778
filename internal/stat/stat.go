// Package stat has the few pieces of statistics and of linear algebra in three and four unknowns that
// several packages need, each defined once: quantiles, moments of triples of numbers with what follows
// from them, and systems so small, and solved so often, that a general solver's room for them would
// cost more than they do. Larger systems are gonum's.
package stat
