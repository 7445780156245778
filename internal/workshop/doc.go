// Package workshop holds the use cases: what somebody at the bench asks for, from photographs to an answer. Each
// is a function from one request to one result, plain data that can be stored as JSON and asked again; the
// commands and the pages are thin shells over them:
//
//	Measure, MeasureSeveral   the colours of areas in one photo, or in several that ties hold together
//	Compare                   the areas of one photo against a target
//	Plan                      the coats of every area of a piece; Schedule lays them out in time
//	NewPreview                the photos of a piece with its plan drawn on them
//	Check, CheckPiece         whether a repair shows
//	LookAt, ReadSpot          what a page needs of a photo while a piece is described
//
// Read the files from the bottom up, as a photo travels: files.go (where photos come from), photo.go (a calibrated
// photo: chart, correction, light field, scale), photos.go and ties.go (the photos of a piece, solved together),
// spot.go and readings.go (every colour a plan stands on), past.go (results of earlier pieces), dataset.go (all of
// it as packages learn and plan take it), plan.go and result.go, then preview.go.
//
// Each stage returns a value and changes nothing it was given. Nothing here prints: warnings are part of the
// results, and every fault a user can cause carries a Hint. What can take longer than a blink takes a context: it
// stops within a moment of its end, keeps nothing and returns its error.
package workshop
