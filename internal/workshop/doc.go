// Package workshop holds the use cases: what somebody at the bench asks for, from a photograph
// to an answer. Each has one request and one result, plain data that can be stored as JSON and
// asked again. The commands and, later, the pages are thin shells over it.
//
// Nothing here prints: warnings are part of the results, and every fault a user can cause
// carries a Hint. What can take longer than a blink takes a context: it stops within a moment of its end,
// keeps nothing and returns its error.
package workshop
