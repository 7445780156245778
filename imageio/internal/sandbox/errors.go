// Package sandbox runs decoders that are compiled to WebAssembly, each run in a memory of its own, with a bound on
// its size, and until its context ends. What a damaged file makes of a decoder ends with the run.
//
// [New] takes a module, [Decoder.Run] runs it; an [Instance] is the module in one run.
package sandbox

import "errors"

// Errors of a run.
var (
	// ErrMemory reports that the decoder asked for more memory than it may have.
	ErrMemory = errors.New("sandbox: the decoder needs more memory than it may have")
	// ErrTrap reports that the decoder came to grief, as over a damaged file.
	ErrTrap = errors.New("sandbox: the decoder stopped")
)
