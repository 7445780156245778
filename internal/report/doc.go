// Package report writes results of workshop and record for people and for scripts: as text for a terminal, as JSON and
// as a calendar (iCalendar). The terminal and the pages share its writers, so that both say the same. NewCard fills in
// the card to hang over the bench, which package card lays out; charts and pictures are drawn by package picture.
//
// A Style says how text is written: short or full, in which units, how wide. For each result there is a pair such as
// Style.MeasureText and MeasureJSON, and the methods whose names end in Words give the single sentences that pages show.
// All sentences stand in the catalogue of package words; a writer chooses among them and puts the answer first. Every
// writer gathers its output and writes it once to its io.Writer: a fault on the way leaves nothing half written. Nothing
// else is read or written, and the time and the zone are always given.
//
// Terminal text carries colour swatches as 24-bit escape sequences; package terminal turns them down to what the screen
// can show. JSON has a version, which is raised when a field changes its meaning or goes; figures in it are rounded to four decimals.
//
// schema.go makes the schema of every answer as JSON from its struct and from fields.toml, which says what each field is.
//
// style.go and page.go are what all text is written with, json.go what all JSON has; visible.go holds the words for how
// visible a difference is. A plan's short answer stands in plantext.go, all that it stands on in planfull.go, sentences
// that pages take too in planwords.go. The other files are named after the result that they write.
package report
