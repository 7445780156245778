package piece

import (
	"errors"
	"fmt"
)

// An Error is a fault in a piece file, at a place in it.
type Error struct {
	File         string
	Line, Column int // from 1; 0 when the fault is in no one place
	Problem      string
	Advice       string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Problem
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Problem)
}

// Hint says what to do about it.
func (e *Error) Hint() string { return e.Advice }

// A UseError is something asked for in a way that cannot be done.
type UseError struct {
	Key     string // what it was given as: "corners", "grey", …
	Problem string
	Advice  string
}

func (e *UseError) Error() string { return e.Problem }

// Hint says how to ask instead.
func (e *UseError) Hint() string { return e.Advice }

func referenceKey(err error) string {
	if use := (*UseError)(nil); errors.As(err, &use) {
		return use.Key
	}
	return "reference"
}

// HintOf is the hint of an error; "" where it has none.
func HintOf(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) {
		return h.Hint()
	}
	return ""
}

// Plural is the ending of a noun of which there are n.
func Plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
