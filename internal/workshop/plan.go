package workshop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/colour"
	"huewright/imageio"
)

// A PlanRequest asks how many coats each area of a piece needs.
type PlanRequest struct {
	Piece Piece `json:"piece"`
}

// A PlanResult is the piece measured, its coatings learned, and the coats of each area.
type PlanResult struct {
	Piece    Piece
	Photos   []PhotoCalibration
	Coatings []LearnedCoating
	Areas    []AreaPlan
	Warnings []string
	Relative bool // a colour came from a photo without a reference
	// Between says of each pair of photos how far their colours agree; empty for one photo.
	Between []Agreement
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
	Target blend.Measured
	Shots  []AreaShot // what each photo says of the area, where several show it
	Plan   blend.AreaPlan
	// PlusMinus is the 95 % radius of each colour in Plan.Path, and last of Plan.Beyond: what
	// the reading of the area and the little known of the coating leave open. How a hand lays
	// each coat is not in it.
	PlusMinus []float64
}

// Plan measures a piece, learns its coatings and plans every area.
func Plan(files Files, req PlanRequest) (*PlanResult, error) {
	piece := &req.Piece
	if err := plannable(piece); err != nil {
		return nil, err
	}
	j := &job{files: files, piece: piece, shots: map[string]*shot{}}
	result := &PlanResult{Piece: *piece}
	if len(piece.Photos) > 1 {
		if err := j.solveTogether(); err != nil {
			return nil, err
		}
		result.Between = j.agreements()
	}
	if err := j.learnAll(result); err != nil {
		return nil, err
	}
	for _, area := range piece.Areas {
		plan, err := j.planArea(area, result.Coatings)
		if err != nil {
			return nil, err
		}
		result.Areas = append(result.Areas, plan)
	}
	for _, photo := range piece.Photos {
		if s, used := j.shots[photo.Name]; used {
			result.Photos = append(result.Photos, PhotoCalibration{photo.Name, s.calibration})
			result.Relative = result.Relative || s.calibration.Relative
		}
	}
	j.compareShots()
	result.Warnings = append(result.Warnings, j.warnings...)
	return result, nil
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

func plannable(p *Piece) error {
	switch {
	case len(p.Areas) == 0:
		return &UseError{"area", "the piece has no areas", "add an [[area]] with a name and an outline for each wood"}
	case len(p.Coatings) == 0:
		return &UseError{"coating", "the piece has no coatings", "add a [[coating]] with a name, a kind, and a chip or a test coat"}
	}
	for _, a := range p.Areas {
		if a.Target == nil && p.Target == nil {
			return &UseError{"target", fmt.Sprintf("area %q has no target", a.Name), "add a [target] for the piece, or target = {…} to the area: an outline, an area, lab or hex"}
		}
	}
	return nil
}

// A job is one piece being measured: its photos are opened once, when first needed.
type job struct {
	files    Files
	piece    *Piece
	shots    map[string]*shot
	joint    *colour.Joint // nil for a piece of one photo
	warnings []string
}

func (j *job) warn(w string) {
	if !slices.Contains(j.warnings, w) {
		j.warnings = append(j.warnings, w)
	}
}

// learnAll learns every coating of the piece.
func (j *job) learnAll(result *PlanResult) error {
	for _, k := range j.piece.Coatings {
		evidence, err := j.evidence(k)
		if err != nil {
			return err
		}
		coating, report, err := blend.Learn(k.Name, blend.Kind(k.Kind), evidence)
		if err != nil {
			return err
		}
		limit := coating.Limit()
		result.Coatings = append(result.Coatings, LearnedCoating{coating, report, limit.Lab()})
	}
	return nil
}

func (j *job) evidence(k Coating) (blend.Evidence, error) {
	e := blend.Evidence{Shared: j.shared()}
	if k.Chip != nil {
		chip, err := j.colour("chip of "+k.Name, *k.Chip)
		if err != nil {
			return e, err
		}
		e.Chip = &chip
	}
	for i, t := range k.Tests {
		name := fmt.Sprintf("test coat %d of %s", i+1, k.Name)
		ground, err := j.colour("ground of "+name, t.Ground)
		if err != nil {
			return e, err
		}
		result, err := j.colour(name, t.Result)
		if err != nil {
			return e, err
		}
		e.Tests = append(e.Tests, blend.TestCoat{Ground: ground, Result: result, Coats: t.Coats, Share: relativeShare(k.Dilution, t.Dilution)})
	}
	return e, nil
}

// relativeShare says how strong a test coat was beside the mix that is planned.
func relativeShare(planned, tested *Dilution) float64 {
	if tested == nil {
		return 1
	}
	return tested.Share() / planned.Share()
}

func (j *job) planArea(area PieceArea, learned []LearnedCoating) (AreaPlan, error) {
	plan := AreaPlan{Area: area}
	source := area.Target
	if source == nil {
		source = j.piece.Target
	}
	var err error
	if plan.Start, plan.Shots, err = j.everyShot(area); err != nil {
		return plan, err
	}
	if plan.Area.SizeM2 == 0 {
		plan.Area.SizeM2 = j.sizeOf(area)
	}
	if plan.Target, err = j.colour("target", *source); err != nil {
		return plan, err
	}
	j.compareStates(area, j.surfaceOf(*source))
	shelf := make([]*blend.Coating, len(learned))
	for i, k := range learned {
		shelf[i] = k.Coating
	}
	plan.Plan, err = blend.PlanArea(plan.Start.Lab, plan.Target.Lab, shelf, blend.PlanOptions{
		Tolerance: j.piece.Tolerance,
		MaxCoats:  j.piece.MaxCoats,
	})
	if err != nil {
		return plan, fmt.Errorf("area %q: %w", area.Name, err)
	}
	plan.PlusMinus = radii(&plan, learned)
	return plan, nil
}

// radii adds up, step by step, what the start's reading and each layer's coating leave open.
func radii(a *AreaPlan, learned []LearnedCoating) []float64 {
	known := map[string]*blend.LearnReport{}
	for i := range learned {
		known[learned[i].Coating.Name] = &learned[i].Report
	}
	under, so := a.Start.Lab, a.Start.PlusMinus
	out := []float64{so}
	step := 0
	layers := a.Plan.Coats
	if len(layers) == 0 { // the best is to leave it
		layers = []blend.CoatCount{{Coating: a.Plan.Beyond.Coating}}
	}
	for i, layer := range layers {
		count := layer.Count
		if i == len(layers)-1 {
			count++ // the one too many
		}
		for n := 1; n <= count; n++ {
			out = append(out, math.Hypot(so, known[layer.Coating].PlusMinus(under, float64(n))))
		}
		so = out[len(out)-1]
		step += layer.Count
		under = a.Plan.Path[step].Lab
	}
	return out
}

// surfaceOf is the state a colour was seen in, as far as the piece says.
func (j *job) surfaceOf(s ColourSource) string {
	if s.Surface == "" && s.Area != "" {
		for _, a := range j.piece.Areas {
			if a.Name == s.Area {
				return a.Surface
			}
		}
	}
	return s.Surface
}

// compareStates warns where a finished colour is held against one that is not.
func (j *job) compareStates(area PieceArea, target string) {
	const finished = "clear-coated"
	if area.Surface == "" || target == "" || (area.Surface == finished) == (target == finished) {
		return
	}
	j.warn(fmt.Sprintf("area %q is %s and its target is %s: a clear coat darkens wood and makes it stronger in colour, so this count is of two states that will not look alike; measure both in the same state, wetting the one that has no clear coat", area.Name, area.Surface, target))
}

// What colours from elsewhere than a photo are taken to be worth: radii in ΔE00 that hold 95
// times in 100. Both are starting values of our own: an instrument's repeatability on wood,
// and a label's printed colour against what is in the tin.
const (
	typedLabPlusMinus = 1.0
	typedHexPlusMinus = 4.0
)

// colour finds a colour wherever the piece says it is.
func (j *job) colour(name string, s ColourSource) (blend.Measured, error) {
	switch {
	case s.Lab != nil:
		return blend.Measured{Lab: colour.Lab{L: s.Lab[0], A: s.Lab[1], B: s.Lab[2]}, PlusMinus: typedLabPlusMinus}, nil
	case s.Hex != "":
		c, err := colour.ParseHex(s.Hex)
		if err != nil {
			return blend.Measured{}, &UseError{"hex", err.Error(), "six hexadecimal digits after #"}
		}
		return blend.Measured{Lab: c.Linear().Lab(), PlusMinus: typedHexPlusMinus}, nil
	case s.Area != "":
		for _, a := range j.piece.Areas {
			if a.Name == s.Area {
				m, _, err := j.everyShot(a)
				return m, err
			}
		}
		return blend.Measured{}, &UseError{"area", fmt.Sprintf("there is no area %q", s.Area), "name one of the piece's areas"}
	}
	return j.outlined(name, s.Photo, s.Outline)
}

// outlined measures an outline in a photo of the piece.
func (j *job) outlined(name, photo, outline string) (blend.Measured, error) {
	s, err := j.shot(photo)
	if err != nil {
		return blend.Measured{}, err
	}
	parsed, err := imageio.ParseOutline(outline)
	if err != nil {
		return blend.Measured{}, fmt.Errorf("%s: %w", name, err)
	}
	reading, err := s.sample(AreaOutline{Name: name, Outline: parsed})
	if err != nil {
		return blend.Measured{}, err
	}
	for _, w := range reading.Warnings {
		j.warn(name + ": " + w)
	}
	m := blend.Measured{Lab: reading.Mean, PlusMinus: reading.PlusMinus, Photo: s.name}
	if j.joint != nil {
		m.Own = max(reading.Sampling, leastOwn)
	}
	return m, nil
}

// sizeOf is the size of an area that has been measured, in square metres; 0 when its photo
// has no scale.
func (j *job) sizeOf(area PieceArea) float64 {
	s, err := j.shot(area.Photo)
	if err != nil {
		return 0
	}
	outline, err := imageio.ParseOutline(area.Outline)
	if err != nil {
		return 0
	}
	return s.squareMetres(outline)
}

// shot opens a photo of the piece; "" means the only one.
func (j *job) shot(name string) (*shot, error) {
	i := slices.IndexFunc(j.piece.Photos, func(p PiecePhoto) bool { return p.Name == name || name == "" && len(j.piece.Photos) == 1 })
	if i < 0 {
		return nil, &UseError{"photo", fmt.Sprintf("there is no photo %q", name), "add a [[photo]] of that name, or correct the name"}
	}
	photo := &j.piece.Photos[i]
	if s, done := j.shots[photo.Name]; done {
		return s, nil
	}
	ref, err := photo.reference()
	if err != nil {
		return nil, err
	}
	s, err := develop(j.files, photo.File, ref)
	if err != nil {
		return nil, err
	}
	s.at, s.name = i, photo.Name
	j.shots[photo.Name] = s
	return s, nil
}
