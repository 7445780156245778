package workshop

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/logbook"
)

// A Keeper keeps what was asked and answered in a log, under a piece, which it begins where it is
// not there yet.
type Keeper struct {
	Log     *logbook.Log
	Piece   string // its name in the log
	Program string // version
	Files   Files  // that the request's photos were read from
}

// A Kept says what has come into the log.
type Kept struct {
	Run     int64
	Entries int  // that are new
	Photos  int  // that were asked about; each is stored once
	Known   bool // all of it was there already, and nothing was added
}

// KeepPlan keeps a plan: its photos, what they were set right by, every colour that was read, test
// coats, coats on the piece, and what was put forward and foreseen for each area. Readings and coats
// that the log has already are not written again; where the same photo now reads otherwise, the new
// reading puts the old one right. answer is the result as JSON.
func (k *Keeper) KeepPlan(ctx context.Context, req PlanRequest, result *PlanResult, answer []byte) (Kept, error) {
	asked, err := json.Marshal(req)
	if err != nil {
		return Kept{}, err
	}
	return k.keep(ctx, "plan", asked, answer, req.Piece.files(), func(n *notes) error {
		for i := range result.Photos {
			n.fact(req.Piece.fileOf(result.Photos[i].Name), &result.Photos[i].Calibration)
		}
		for _, a := range result.Areas {
			n.area(&a.Area)
		}
		for i := range result.Photos {
			n.reference(req.Piece.fileOf(result.Photos[i].Name), &result.Photos[i].Calibration)
		}
		relative := map[string]bool{}
		for _, p := range result.Photos {
			relative[p.Name] = p.Calibration.Relative
		}
		for i := range result.Read {
			r := &result.Read[i]
			n.read(r, req.Piece.fileOf(r.Measured.Photo), relative[r.Measured.Photo], req.Piece.coating(r.Coating))
		}
		for i := range req.Piece.Coatings {
			n.testCoats(&req.Piece.Coatings[i])
		}
		for i := range result.Areas {
			n.laid(&result.Areas[i], req.Piece.Coatings)
			n.plan(&result.Areas[i], result)
		}
		return n.err
	})
}

// KeepMeasure keeps readings of photos. Those of one that could not be read are left out.
func (k *Keeper) KeepMeasure(ctx context.Context, req SeveralRequest, results []*MeasureResult, answer []byte) (Kept, error) {
	asked, err := json.Marshal(req)
	if err != nil {
		return Kept{}, err
	}
	var files []string
	for _, p := range req.Photos {
		files = append(files, p.Photo)
		files = append(files, p.Reference.files()...)
	}
	return k.keep(ctx, "measure", asked, answer, files, func(n *notes) error {
		n.apart = true
		for _, r := range results {
			if r == nil {
				continue
			}
			n.fact(r.Photo, &r.Calibration)
			n.reference(r.Photo, &r.Calibration)
			for i := range r.Areas {
				a := &r.Areas[i]
				read := Read{
					Of: ReadArea, Name: a.Name, Area: a.Name, Measured: blend.Measured{Lab: a.Reading.Mean, PlusMinus: a.Reading.PlusMinus},
					Light: &a.Reading.Ground, Dark: &a.Reading.Figure, Spread: a.Reading.Spread[0], Pixels: a.Reading.Pixels,
				}
				n.read(&read, r.Photo, r.Calibration.Relative, nil)
			}
		}
		return n.err
	})
}

// KeepCheck keeps what was found of a repair, by its name.
func (k *Keeper) KeepCheck(ctx context.Context, name string, req CheckRequest, result *CheckResult, answer []byte) (Kept, error) {
	asked, err := json.Marshal(req)
	if err != nil {
		return Kept{}, err
	}
	files := append([]string{req.Photo}, req.Reference.files()...)
	for _, v := range []*RepairView{req.Before, req.Lamp} {
		if v != nil {
			files = append(append(files, v.Photo), v.Reference.files()...)
		}
	}
	return k.keep(ctx, "check", asked, answer, files, func(n *notes) error {
		n.fact(req.Photo, &result.Calibration)
		n.reference(req.Photo, &result.Calibration)
		n.add(logbook.Entry{Area: name, Run: n.run, Check: &logbook.Check{
			Says: string(result.Verdict), Of100: result.Near.Rank.Of100, DeltaE: result.Near.Colour,
		}})
		return n.err
	})
}

// KeepPhotos keeps photos without asking anything of them.
func (k *Keeper) KeepPhotos(ctx context.Context, files []string, note string) (kept Kept, err error) {
	opened := map[string]Calibration{}
	for _, f := range files {
		photo, err := k.Files.OpenPhoto(ctx, f)
		if err != nil {
			return kept, err
		}
		opened[f] = Calibration{Facts: photo.Facts}
	}
	err = k.Log.Write(ctx, func(w *logbook.Writer) error {
		n, err := k.notes(w)
		if err != nil {
			return err
		}
		for _, f := range files {
			cal := opened[f]
			n.fact(f, &cal)
			n.picture(f, note)
		}
		kept = Kept{Entries: n.added, Photos: len(files), Known: n.added == 0}
		return n.err
	})
	return kept, err
}

// keep writes a run and what follows from it, all or nothing.
func (k *Keeper) keep(ctx context.Context, what string, asked, answer []byte, files []string, follows func(*notes) error) (kept Kept, err error) {
	err = k.Log.Write(ctx, func(w *logbook.Writer) error {
		n, err := k.notes(w)
		if err != nil {
			return err
		}
		same, err := w.SameRun(k.Piece, what, k.Program, asked, answer)
		if err != nil {
			return err
		}
		hashes := map[string]string{}
		for _, f := range files {
			if hashes[f] == "" && f != "" {
				if hashes[f] = n.store(f); n.err != nil {
					return n.err
				}
			}
		}
		kept.Photos = len(hashes)
		if same != 0 {
			kept.Run, kept.Known = same, true
			return nil
		}
		if n.run, err = w.Run(what, k.Program, asked, answer, hashes); err != nil {
			return err
		}
		if err := follows(n); err != nil {
			return err
		}
		kept.Run, kept.Entries = n.run, n.added
		return nil
	})
	return kept, err
}

// notes are entries being written for one piece.
type notes struct {
	k        *Keeper
	w        *logbook.Writer
	run      int64
	standing []logbook.Entry
	hashes   map[string]string // by file
	camera   map[string]Calibration
	reads    map[string]int64 // entry of each reading by its key
	added    int
	apart    bool // readings put none right
	err      error
}

func (k *Keeper) notes(w *logbook.Writer) (*notes, error) {
	if err := w.BeginOnce(k.Piece); err != nil {
		return nil, err
	}
	standing, err := w.Standing(k.Piece)
	return &notes{k: k, w: w, standing: standing, hashes: map[string]string{}, camera: map[string]Calibration{}, reads: map[string]int64{}}, err
}

// add writes an entry of the piece; after a fault it does nothing.
func (n *notes) add(e logbook.Entry) int64 {
	if n.err != nil {
		return 0
	}
	e.Piece = n.k.Piece
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
	data, err := n.k.Files.ReadFile(file)
	if err != nil {
		n.err = &UseError{"photo", fmt.Sprintf("%s: %s", file, reason(err)), "the log keeps every photo that a plan was made from; put it back and ask again"}
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

func (n *notes) fact(file string, cal *Calibration) { n.camera[file] = *cal }

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
func (n *notes) reference(file string, cal *Calibration) {
	if file == "" {
		return
	}
	n.picture(file, "")
	r := &logbook.Reference{
		SHA256: n.store(file), By: cal.Reference, Patches: countPatches(cal), LeftOut: finite(cal.Report.LOOMean), LeftOut95: finite(cal.Report.LOOP95),
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
func (n *notes) area(a *PieceArea) {
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
func countPatches(cal *Calibration) (n int) {
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
func stackOf(coats []blend.CoatCount) (s logbook.Stack) {
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
