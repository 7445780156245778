// Package report writes results for people and for scripts: as terminal text and as
// versioned JSON. Its functions only write to the io.Writer they are given.
//
// Terminal text carries colour swatches as 24-bit escape sequences; whoever hands in the
// writer turns them down to what the terminal can show, or takes them out.
package report
