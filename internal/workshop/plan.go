package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/colour"
)

// A PlanRequest asks how many coats each area of a piece needs.
type PlanRequest struct {
	Piece Piece `json:"piece"`
	Past  *Past `json:"past,omitempty"` // what a log tells of earlier pieces; nil is not asked
}

// A PlanResult is the piece measured, its coatings learned, and the coats of each area.
type PlanResult struct {
	Piece    Piece
	Photos   []PhotoCalibration
	Coatings []LearnedCoating
	Areas    []AreaPlan
	Meet     *blend.MeetPlan    // how areas without a target come together; nil where all have one
	Mix      *blend.MixAnswer   // what could be mixed from the shelf instead
	Batches  []blend.Batch      // how much of each coating that takes
	Tests    []blend.TestAdvice // test coats that would narrow the counts, the best first; none where enough is known
	Warnings []string
	Relative bool // a colour came from a photo without a reference
	Finished bool // colours of plans are as seen under the clear coat to come
	// Between says of each pair of photos how far their colours agree; empty for one photo.
	Between []Agreement
	Earlier []Earlier   // what earlier pieces told, by coating; those that told nothing are left out
	Habit   blend.Habit // of the hand, as earlier pieces show it
	Pieces  int         // that the habit was found from
	Read    []Read      // every colour that was read for it

	// What previews are made from.
	worlds *blend.Worlds
	ask    *blend.Ask
	job    *job
}

// Pixels are those of all photos of the piece, which stay open as long as the result is kept.
func (r *PlanResult) Pixels() (n int64) {
	if r.job == nil {
		return 0
	}
	for _, s := range r.job.shots {
		n += int64(s.photo.Width) * int64(s.photo.Height)
	}
	return n
}

// A PhotoCalibration is what the reference in one photo of the piece taught.
type PhotoCalibration struct {
	Name        string
	Calibration Calibration
}

// A LearnedCoating is a coating of the shelf as its chip and test coats show it.
type LearnedCoating struct {
	Coating *blend.Coating
	Report  blend.LearnReport
	Limit   colour.Lab // where nothing shows through any more
}

// An AreaPlan is the answer for one area.
type AreaPlan struct {
	Area   PieceArea
	Start  blend.Measured
	Target *blend.Measured // nil for an area that is to meet the others
	Shots  []AreaShot      // what each photo says of the area, where several show it
	Plan   *blend.AreaPlan // nil for an area that is to meet the others: see PlanResult.Meet
	Laid   []LaidReport    // what the coats it has had were to do, and did
	// systematic is what all readings of the area's photo have wrong together: a 95 % radius.
	systematic float64
	// Expected is what the coats put forward, and one more, will look like as they will be measured,
	// without the clear coat to come.
	Expected []blend.Expected
	bare     int // place of its colour before any coat among the survey's
}

// A LaidReport holds what coats on the piece were foreseen to do against what they did.
type LaidReport struct {
	Coats  []blend.CoatCount // that the area then had in all, the undermost first
	Seen   blend.Foreseen    // as measured, without the clear coat to come
	Causes []string          // where it is a surprise, what may lie behind it

	reading blend.Measured
}

// Plan measures a piece, learns its coatings and plans every area: to its target, or, where no
// area has one, so that all meet.
func Plan(ctx context.Context, files Files, req PlanRequest) (*PlanResult, error) {
	piece := &req.Piece
	if err := plannable(piece); err != nil {
		return nil, err
	}
	j := &job{files: files, piece: piece, shots: map[string]*shot{}}
	result := &PlanResult{Piece: *piece, Finished: piece.Clear != nil}
	if len(piece.Photos) > 1 {
		if err := j.solveTogether(ctx); err != nil {
			return nil, err
		}
		result.Between = j.agreements()
	}
	survey, ask, err := j.survey(ctx, result)
	if err != nil {
		return nil, err
	}
	if req.Past != nil {
		result.Habit, result.Pieces = req.Past.Habit, req.Past.Pieces
	}
	if err := j.recall(req.Past, result, survey); err != nil {
		return nil, err
	}
	if err := j.lookBack(ctx, result, survey, ask); err != nil {
		return nil, err
	}
	worlds, err := survey.Worlds(ctx, blend.WorldOptions{})
	if err != nil {
		return nil, err
	}
	result.learned(worlds)
	if err := result.plan(ctx, worlds, *ask); err != nil {
		return nil, err
	}
	result.expect(ctx, worlds, ask)
	for _, photo := range piece.Photos {
		if s, used := j.shots[photo.Name]; used {
			result.Photos = append(result.Photos, PhotoCalibration{photo.Name, s.calibration})
			result.Relative = result.Relative || s.calibration.Relative
		}
	}
	j.compareShots()
	result.Warnings = append(result.Warnings, j.warnings...)
	result.Read, result.worlds, result.ask, result.job = j.read, worlds, ask, j
	return result, nil
}

// expect says what each area will be measured as after the coats put forward for it, and after one
// more.
func (r *PlanResult) expect(ctx context.Context, w *blend.Worlds, ask *blend.Ask) {
	for i := range r.Areas {
		a := &r.Areas[i]
		var coats []blend.Laid
		for _, c := range r.coats(a) {
			if k := r.shelfPlace(c.Coating); c.Count > 0 {
				coats = append(coats, blend.Laid{Coating: k, Coats: c.Count})
			}
		}
		if n := len(coats); n > 0 {
			coats[n-1].Coats++
		} else if next := r.shelfPlace(r.next(a)); next >= 0 {
			coats = []blend.Laid{{Coating: next, Coats: 1}}
		}
		a.Expected = blend.Expect(ctx, w, ask.Areas[i], coats)
		for n := range a.Expected {
			a.Expected[n].PlusMinus = math.Hypot(a.Expected[n].PlusMinus, a.systematic)
		}
	}
}

func (r *PlanResult) shelfPlace(coating string) int {
	return slices.IndexFunc(r.Piece.Coatings, func(k Coating) bool { return k.Name == coating })
}

// next is the coating that one coat more would be of.
func (r *PlanResult) next(a *AreaPlan) string {
	if a.Plan != nil {
		return a.Plan.Beyond.Coating
	}
	if r.Meet != nil {
		for _, m := range r.Meet.Choices[r.Meet.Chosen].Areas {
			if m.Name == a.Area.Name {
				return m.Beyond.Coating
			}
		}
	}
	return ""
}

// Named is the area of that name; nil where there is none.
func (r *PlanResult) Named(name string) *AreaPlan {
	for i := range r.Areas {
		if r.Areas[i].Area.Name == name {
			return &r.Areas[i]
		}
	}
	return nil
}

// learned takes in what the worlds know of the shelf.
func (r *PlanResult) learned(w *blend.Worlds) {
	for k := range w.Best.Coatings {
		coating := &w.Best.Coatings[k]
		limit := coating.Limit()
		r.Coatings = append(r.Coatings, LearnedCoating{coating, w.Reports[k], limit.Lab()})
	}
}

// plan plans all areas, what could be mixed, and what to test next.
func (r *PlanResult) plan(ctx context.Context, w *blend.Worlds, ask blend.Ask) error {
	plan, err := blend.PlanPiece(ctx, w, ask)
	if err != nil {
		return err
	}
	for i := range plan.Areas {
		a := r.Named(plan.Areas[i].Name)
		a.Plan = &plan.Areas[i]
		a.widen(a.Plan.Path, &a.Plan.Beyond)
	}
	if r.Meet = plan.Meet; r.Meet != nil {
		for _, c := range r.Meet.Choices {
			for i := range c.Areas {
				r.Named(c.Areas[i].Name).widen(c.Areas[i].Path, &c.Areas[i].Beyond)
			}
		}
	}
	r.Tests = blend.NextTests(ctx, w, ask, plan)
	var shares []float64
	for _, k := range r.Piece.Coatings {
		shares = append(shares, k.Dilution.Share())
	}
	r.batches()
	r.Mix, err = blend.PlanMix(ctx, w, ask, shares)
	return err
}

// compareShots warns where the camera did something else in one photo than in the first.
func (j *job) compareShots() {
	var first *shot
	var name string
	for _, photo := range j.piece.Photos {
		s, used := j.shots[photo.Name]
		switch {
		case !used:
		case first == nil:
			first, name = s, photo.Name
		default:
			if unlike := first.photo.Facts.Unlike(s.photo.Facts); len(unlike) > 0 {
				j.warn(fmt.Sprintf("photos %q and %q: %s; colours from them are less sure beside one another: take both the same way", name, photo.Name, strings.Join(unlike, "; ")))
			}
		}
	}
}

// widen adds what the photo has wrong to the uncertainty of foreseen colours. It is the same for all
// of them and for the target, so that differences are surer than colours: those stay as they are.
func (a *AreaPlan) widen(path []blend.Step, beyond *blend.Step) {
	for i := range path {
		path[i].PlusMinus = math.Hypot(path[i].PlusMinus, a.systematic)
	}
	beyond.PlusMinus = math.Hypot(beyond.PlusMinus, a.systematic)
}

func plannable(p *Piece) error {
	switch {
	case len(p.Areas) == 0:
		return &UseError{"area", "the piece has no areas", "add an [[area]] with a name and an outline for each wood"}
	case len(p.Coatings) == 0:
		return &UseError{"coating", "the piece has no coatings", "add a [[coating]] with a name, a kind, and a chip or a test coat"}
	case p.Target != nil:
		return nil
	}
	with := 0
	for _, a := range p.Areas {
		if a.Target != nil {
			with++
		}
	}
	for _, a := range p.Areas {
		if a.Target == nil && with > 0 {
			return &UseError{"target", fmt.Sprintf("area %q has no target, and others have", a.Name), "add a [target] for the piece, or target = {…} to the area: an outline, an area, lab or hex; or leave all targets out, and the areas are brought to meet one another"}
		}
	}
	if with == 0 && len(p.Areas) == 1 {
		return &UseError{"target", fmt.Sprintf("area %q has no target, and no other area to meet", p.Areas[0].Name), "add a [target]: an outline, an area, lab or hex; or a second area"}
	}
	return nil
}

// A job is one piece being measured: its photos are opened once, when first needed.
type job struct {
	files    Files
	piece    *Piece
	shots    map[string]*shot
	joint    *colour.Joint // nil for a piece of one photo
	read     []Read
	warnings []string
}

func (j *job) warn(w string) {
	if !slices.Contains(j.warnings, w) {
		j.warnings = append(j.warnings, w)
	}
}
