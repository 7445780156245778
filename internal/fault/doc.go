// Package fault is what goes wrong, and what a person should know, as data: a code, values by name, the place, and what to do
// about it as a code too. It knows of no flag, key or button: internal/words makes the sentences, for the terminal and for the pages.
//
// A package that finds something wrong returns
//
//	fault.New(fault.Photo, "photo.few-pixels", "have", 40, "need", 200)
//
// and whoever calls it knows the place: fault.In(err, fault.Place{File: path}). Warnings are notes, fault.Say("area.glare", "share", 0.12),
// in the results of what was done all the same. Whoever must tell faults apart asks fault.Is(err, "photo.few-pixels"), or
// fault.KindOf(err) for what sort it is; nobody reads sentences. A value may itself be a note: a reason within a sentence.
//
// Codes are written where they are used, and nowhere twice with different values; a test in internal/words holds codes, the names of values
// and sentences together.
package fault
