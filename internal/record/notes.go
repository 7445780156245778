package record

import (
	"math"
	"slices"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// notes are entries being written for one piece.
type notes struct {
	piece    string // in the log
	files    workshop.Files
	w        *logbook.Writer
	run      int64
	standing []logbook.Entry
	hashes   map[string]string // by file
	camera   map[string]workshop.Calibration
	reads    map[workshop.ReadKey]int64 // entry of each reading
	added    int
	keepBoth bool // readings put none right
	err      error
}

func newNotes(w *logbook.Writer, p string, files workshop.Files) (*notes, error) {
	if err := w.BeginOnce(p); err != nil {
		return nil, err
	}
	standing, err := w.Standing(p)
	return &notes{piece: p, files: files, w: w, standing: standing, hashes: map[string]string{},
		camera: map[string]workshop.Calibration{}, reads: map[workshop.ReadKey]int64{}}, err
}

// add writes an entry of the piece; after a fault it does nothing.
func (n *notes) add(e logbook.Entry) int64 {
	if n.err != nil {
		return 0
	}
	e.Piece = n.piece
	var id int64
	if id, n.err = n.w.Add(e); n.err == nil {
		n.added++
	}
	return id
}

// find is the latest standing entry that does; nil where none does.
func (n *notes) find(does func(*logbook.Entry) bool) *logbook.Entry {
	for i := len(n.standing) - 1; i >= 0; i-- {
		if does(&n.standing[i]) {
			return &n.standing[i]
		}
	}
	return nil
}

// store keeps a file that a request names, and returns its hash.
func (n *notes) store(file string) string {
	if hash := n.hashes[file]; hash != "" || n.err != nil {
		return hash
	}
	data, err := n.files.ReadFile(file)
	if err != nil {
		n.err = workshop.FileFault(file, err).WithHint("file.put-back")
		return ""
	}
	facts := logbook.PhotoFacts{Name: file}
	cal := n.camera[file]
	facts.Camera = strings.TrimSpace(cal.Facts.Make + " " + cal.Facts.Model)
	if !cal.Facts.Taken.IsZero() {
		facts.TakenAt = cal.Facts.Taken.Format("2006-01-02 15:04:05")
	}
	n.hashes[file], n.err = n.w.KeepPhoto(data, facts)
	return n.hashes[file]
}

func (n *notes) fact(file string, cal *workshop.Calibration) { n.camera[file] = *cal }

// picture notes a photo of the piece, once.
func (n *notes) picture(file, note string) {
	hash := n.store(file)
	if n.find(func(e *logbook.Entry) bool { return e.Picture != nil && e.Picture.SHA256 == hash }) != nil {
		return
	}
	n.add(logbook.Entry{Run: n.run, Note: note, Picture: &logbook.Picture{SHA256: hash}})
	n.standing = append(n.standing, logbook.Entry{Picture: &logbook.Picture{SHA256: hash}})
}

// reference notes a photo and what its colours were set right by; what is known already, not again.
func (n *notes) reference(file string, cal *workshop.Calibration) {
	if file == "" {
		return
	}
	n.picture(file, "")
	r := &logbook.Reference{
		SHA256: n.store(file), By: cal.Reference, Patches: countPatches(cal), LeftOut: finite(cal.Report.LOOMean),
		LeftOut95: finite(cal.Report.LOOP95),
	}
	if cal.Light != nil {
		r.Uneven = finite(cal.Light.Left)
	}
	was := n.find(func(e *logbook.Entry) bool { return e.Reference != nil && e.Reference.SHA256 == r.SHA256 })
	if was != nil && *was.Reference == *r {
		return
	}
	e := logbook.Entry{Run: n.run, Reference: r}
	if was != nil {
		e.Replaces, e.At = was.ID, was.At
	}
	n.add(e)
}

// area notes what a part of the piece is made of, where that is new.
func (n *notes) area(a *piece.Area) {
	facts := &logbook.AreaFacts{Wood: a.Wood, Surface: a.Surface, SquareMetres: a.SizeM2}
	was := n.find(func(e *logbook.Entry) bool { return e.Facts != nil && e.Area == a.Name })
	e := logbook.Entry{Area: a.Name, Run: n.run, Facts: facts}
	if was != nil {
		// What only a person says stays.
		facts.Cut, facts.Sanding, facts.WoodAge = was.Facts.Cut, was.Facts.Sanding, was.Facts.WoodAge
		facts.Wood, facts.Surface = orElse(facts.Wood, was.Facts.Wood), orElse(facts.Surface, was.Facts.Surface)
		if facts.SquareMetres == 0 {
			facts.SquareMetres = was.Facts.SquareMetres
		}
		if *facts == *was.Facts {
			return
		}
		e.Replaces, e.At = was.ID, was.At
	}
	n.add(e)
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// countPatches is how many patches of a chart counted.
func countPatches(cal *workshop.Calibration) (n int) {
	for i := range cal.Report.Patches {
		if cal.Report.Patches[i].Used {
			n++
		}
	}
	return n
}

// finite is a figure, or 0 where there is none.
func finite(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// stackOf is coats as the log has them.
func stackOf(coats []plan.CoatCount) (s logbook.Stack) {
	for _, c := range coats {
		if c.Count > 0 {
			s = s.Over(c.Coating, float64(c.Count))
		}
	}
	return s
}

// sameStack reports whether two stacks are of the same coats.
func sameStack(a, b logbook.Stack) bool { return slices.Equal(a, b) }

// sameLab reports whether two readings are one, but for rounding.
func sameLab(a, b colour.Lab) bool {
	const tiny = 1e-6
	return math.Abs(a.L-b.L) < tiny && math.Abs(a.A-b.A) < tiny && math.Abs(a.B-b.B) < tiny
}
