package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/blend"
	"huewright/imageio"
)

// A CheckRequest asks whether a repair shows.
type CheckRequest struct {
	RepairView
	Exclude   []imageio.Outline `json:"exclude,omitempty"`   // other repairs, fittings, edges of the piece
	Distances []float64         `json:"distances,omitempty"` // mm, beside those that woodwork is judged from
	Shelf     *Piece            `json:"shelf,omitempty"`     // whose coatings may touch it up; nil for none
	// ShelfFiles is where the shelf's photos are; nil is where the photo is.
	ShelfFiles Files `json:"-"`

	Before *RepairView `json:"before,omitempty"` // the same repair as it was, to be compared with
	Lamp   *RepairView `json:"lamp,omitempty"`   // the same repair under another light, measured instead of guessed
}

// A RepairView is a repair in a photo.
type RepairView struct {
	Photo     string           `json:"photo"`
	Reference Reference        `json:"reference"`
	Repair    imageio.Outline  `json:"repair"`
	Wood      *imageio.Outline `json:"wood,omitempty"` // nil finds it round the repair
}

// A CheckResult is the answer.
type CheckResult struct {
	RepairSeen
	Advice []string          // what to do, the first thing first
	Lights []blend.LightRisk // under other lights, guessed; empty where Lamp is measured
	Before *RepairSeen       // nil when not asked
	Lamp   *RepairSeen       // nil when not asked
}

// RepairSeen is what one photo says of a repair.
type RepairSeen struct {
	Photo       string
	Calibration Calibration
	Verdict     blend.Verdict
	Near        blend.Sight
	Far         []blend.Sight // from the nearest on; empty when nothing tells the scale
	Why         []string
	Along       float64 // of the wood's grain, degrees: 0 level, 90 upright
	Coherence   float64 // how much of one direction it is, 0–1
	Left        float64 // share of what lies round the repair that was left out as no wood of its own
	MM          float64 // of one photo pixel; 0 when nothing tells
	Warnings    []string

	around *imageio.Surroundings
	shot   *shot
}

// Check judges a repair against the wood round it.
func Check(ctx context.Context, files Files, req CheckRequest) (*CheckResult, error) {
	result := &CheckResult{}
	seen, look, err := req.see(ctx, files, req.RepairView, req.Exclude)
	if err != nil {
		return nil, err
	}
	result.RepairSeen = *seen
	var shelf []blend.Coating
	if req.Shelf != nil {
		from := req.ShelfFiles
		if from == nil {
			from = files
		}
		if shelf, err = learnShelf(ctx, from, req.Shelf); err != nil {
			return nil, err
		}
	}
	result.Advice = blend.Advise(seen.Near, look, shelf, seen.around.Roundness(req.Repair))
	if req.Before != nil {
		if result.Before, _, err = req.see(ctx, files, *req.Before, nil); err != nil {
			return nil, fmt.Errorf("before: %w", err)
		}
	}
	if req.Lamp != nil {
		if result.Lamp, _, err = req.see(ctx, files, *req.Lamp, nil); err != nil {
			return nil, fmt.Errorf("under the lamp: %w", err)
		}
	} else {
		result.Lights = blend.LightRisks(look)
	}
	return result, nil
}

// see judges the repair as one photo shows it.
func (req *CheckRequest) see(ctx context.Context, files Files, view RepairView, exclude []imageio.Outline) (*RepairSeen, *blend.RepairLook, error) {
	s, err := develop(ctx, files, view.Photo, view.Reference)
	if err != nil {
		return nil, nil, err
	}
	around, err := s.photo.Surround(ctx, view.Repair, s.correction, imageio.RepairOptions{Name: "repair", Wood: view.Wood, Exclude: exclude, Light: s.light})
	if err != nil {
		return nil, nil, err
	}
	look := &blend.RepairLook{Repair: around.Repair(ctx), Patches: around.Patches(ctx), Size: around.Size()}
	seen := &RepairSeen{
		Photo: view.Photo, Calibration: s.calibration, Near: look.SeeFrom(0), Left: around.Left, around: around, shot: s,
		Along: math.Mod(180-look.Repair.Ring.Along, 180), Coherence: look.Repair.Ring.Coherence, MM: s.pixelMM(view.Repair.Centre()),
	}
	if seen.MM > 0 {
		distances := slices.Concat(blend.Distances, req.Distances)
		slices.Sort(distances)
		distances = slices.Compact(distances)
		for i, from := range around.From(ctx, distances, seen.MM) {
			far := blend.RepairLook{Repair: from.Repair(ctx), Patches: from.Patches(ctx), Size: around.Size()}
			seen.Far = append(seen.Far, far.SeeFrom(distances[i]))
		}
	} else {
		seen.Warnings = append(seen.Warnings, "nothing tells how large things are, so how far off it shows is not known: give the chart's width or a marked length")
	}
	seen.Verdict = blend.Judge(seen.Near, seen.Far)
	if seen.Verdict != blend.Reads {
		seen.Why = seen.Near.Why(look)
	}
	return seen, look, nil
}

// pixelMM is how many millimetres one pixel is near a place; 0 when nothing tells.
func (s *shot) pixelMM(at imageio.Point) float64 {
	const side = 20.0
	return 1000 * math.Sqrt(s.squareMetres(imageio.Rect(at.X-side/2, at.Y-side/2, side, side))) / side
}

// learnShelf learns the coatings of a piece.
func learnShelf(ctx context.Context, files Files, piece *Piece) ([]blend.Coating, error) {
	j := &job{files: files, piece: piece, shots: map[string]*shot{}}
	if len(piece.Photos) > 1 {
		if err := j.solveTogether(ctx); err != nil {
			return nil, err
		}
	}
	survey := &blend.Survey{Shared: j.shared()}
	if err := j.shelf(ctx, survey); err != nil {
		return nil, err
	}
	worlds, err := survey.Worlds(ctx, blend.WorldOptions{Draws: 1})
	if err != nil {
		return nil, err
	}
	return worlds.Best.Coatings, nil
}

// Overlay is the part of the photo round the repair with what was judged drawn on it.
func (r *RepairSeen) Overlay(ctx context.Context) imageio.Picture {
	return r.around.Overlay(ctx, r.shot.photo)
}
