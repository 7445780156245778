package record

import (
	"context"
	"encoding/json"

	"huewright/blend/learn"
	"huewright/internal/logbook"
	"huewright/internal/workshop"
)

// A Keeper keeps what was asked and answered in a log, under a piece, which it begins where it is
// not there yet.
type Keeper struct {
	Log     *logbook.Log
	Piece   string         // its name in the log
	Program string         // version
	Files   workshop.Files // that the request's photos were read from
}

// A Kept says what has come into the log.
type Kept struct {
	Run     int64
	Entries int  // that are new
	Photos  int  // that were asked about; each is stored once
	Known   bool // all of it was there already, and nothing was added
}

// KeepPlan keeps a plan: its photos, what they were set right by, every colour that was read, test
// coats, coats on the piece, and the suggestion and predictions for each area. Readings and coats
// that the log has already are not written again; where the same photo now reads otherwise, the new
// reading puts the old one right. answer is the result as JSON.
func (k *Keeper) KeepPlan(ctx context.Context, req workshop.PlanRequest, result *workshop.PlanResult, answer []byte) (Kept, error) {
	return k.keep(ctx, "plan", req, answer, req.Piece.Files(), func(n *notes) error {
		for i := range result.Photos {
			n.fact(req.Piece.FileOf(result.Photos[i].Name), &result.Photos[i].Calibration)
		}
		for _, a := range result.Areas {
			n.area(&a.Area)
		}
		for i := range result.Photos {
			n.reference(req.Piece.FileOf(result.Photos[i].Name), &result.Photos[i].Calibration)
		}
		relative := map[string]bool{}
		for _, p := range result.Photos {
			relative[p.Name] = p.Calibration.Relative
		}
		for i := range result.Readings {
			r := &result.Readings[i]
			if r.Of == workshop.ReadBefore || r.Of == workshop.ReadUnder {
				continue // the log has no place for the clear coat to come
			}
			n.read(r, req.Piece.FileOf(r.Measured.Photo), relative[r.Measured.Photo], req.Piece.CoatingNamed(r.Coating))
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
func (k *Keeper) KeepMeasure(ctx context.Context, req workshop.SeveralRequest, results []*workshop.MeasureResult,
	answer []byte) (Kept, error) {
	var files []string
	for _, p := range req.Photos {
		files = append(files, p.Photo)
		files = append(files, p.Reference.Files()...)
	}
	return k.keep(ctx, "measure", req, answer, files, func(n *notes) error {
		n.keepBoth = true
		for _, r := range results {
			if r == nil {
				continue
			}
			n.fact(r.Photo, &r.Calibration)
			n.reference(r.Photo, &r.Calibration)
			for i := range r.Areas {
				a := &r.Areas[i]
				read := workshop.Read{
					ReadKey: workshop.ReadKey{Of: workshop.ReadArea, Area: a.Name}, Name: a.Name, Spot: workshop.Spot{
						Measured: learn.Measured{Lab: a.Reading.Mean, PlusMinus: a.Reading.PlusMinus},
						Grain:    &workshop.Grain{Light: learn.Measured{Lab: a.Reading.Ground}, Dark: learn.Measured{Lab: a.Reading.Figure}},
						Spread:   a.Reading.Spread[0], Pixels: a.Reading.Pixels,
					},
				}
				n.read(&read, r.Photo, r.Calibration.Relative, nil)
			}
		}
		return n.err
	})
}

// KeepCheck keeps what was found of a repair, by its name.
func (k *Keeper) KeepCheck(ctx context.Context, name string, req workshop.CheckRequest, result *workshop.CheckResult,
	answer []byte) (Kept, error) {
	files := append([]string{req.Photo}, req.Reference.Files()...)
	for _, v := range []*workshop.RepairView{req.Before, req.Lamp} {
		if v != nil {
			files = append(append(files, v.Photo), v.Reference.Files()...)
		}
	}
	return k.keep(ctx, "check", req, answer, files, func(n *notes) error {
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
	opened := map[string]workshop.Calibration{}
	for _, f := range files {
		photo, err := k.Files.OpenPhoto(ctx, f)
		if err != nil {
			return kept, err
		}
		opened[f] = workshop.Calibration{Facts: photo.Facts}
	}
	err = k.Log.Write(ctx, func(w *logbook.Writer) error {
		n, err := newNotes(w, k.Piece, k.Files)
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
func (k *Keeper) keep(
	ctx context.Context, what string, req any, answer []byte, files []string, follows func(*notes) error,
) (kept Kept, err error) {
	asked, err := json.Marshal(req)
	if err != nil {
		return kept, err
	}
	err = k.Log.Write(ctx, func(w *logbook.Writer) error {
		n, err := newNotes(w, k.Piece, k.Files)
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
