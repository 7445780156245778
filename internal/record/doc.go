// Package record keeps results in the log, and asks the log.
//
// It stands above both: a [Keeper] takes the request and the result of a use case of package workshop and writes
// them to package logbook as one run with its entries, all or nothing. What the log then tells comes back as
// plain data: [Recall] what earlier pieces teach about coatings, for a plan of the next piece; [HistoryOf] one
// piece, [DriftOf] one area, [ScoresOf] how good predictions have been; [Replan] a plan made again from its kept
// photos. [Describe] puts one entry into words. An [Album] opens the photos that the log keeps.
//
// Read keep.go first, then notes.go, which decides what is new and what puts an earlier entry right.
package record
