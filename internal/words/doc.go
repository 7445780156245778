// Package words makes every sentence that a person reads about a fault, a warning or a result, from a code and values (internal/fault).
//
// The sentences stand in english/SUBJECT.toml, one table for each code of the subject: english/photo.toml has [cut-off] for
// "photo.cut-off".
//
//	[few-pixels]
//	says = "Only {have, plural, one {# pixel} other {# pixels}} of plain wood are left here; {need} are needed."
//	hint = "Outline a larger area, or take the photo from nearer."
//	page-hint = "Mark a larger area, or take the photo from nearer."
//
// says is one or more whole sentences; part, in its stead, is a piece of a sentence that others take in as a value; hint says what to do
// next. page and page-hint are what the pages say where that must differ: they never speak of files, flags or keys. Braces take in values,
// in the syntax of ICU MessageFormat, of which plural, select and number are known, and units of our own: see format.go. {@spirits} is a
// word of the trade that differs by vocabulary: see terms.go.
//
// A Speaker says notes and faults in one voice and vocabulary. Tests hold sentences, codes and the names of values together, and
// testdata holds every sentence with sample values, to be read in one go: go test ./internal/words -update writes it anew.
// A translation is another folder beside english.
package words
