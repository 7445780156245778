package workshop

import (
	"context"
	"image"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/repair"
	"huewright/imageio"
	"huewright/imageio/surround"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A CheckRequest asks whether a repair shows.
type CheckRequest struct {
	RepairView
	Exclude   []imageio.Outline `json:"exclude,omitempty"`   // other repairs, fittings, edges of the piece
	Distances []float64         `json:"distances,omitempty"` // mm, beside those that woodwork is judged from
	Shelf     *piece.Piece      `json:"shelf,omitempty"`     // whose coatings may touch it up; nil for none
	// ShelfFiles is where the shelf's photos are; nil is where the photo is.
	ShelfFiles Files `json:"-"`

	Before *RepairView `json:"before,omitempty"` // the same repair as it was, to be compared with
	Lamp   *RepairView `json:"lamp,omitempty"`   // the same repair under another light, measured instead of guessed
}

// A RepairView is a repair in a photo.
type RepairView struct {
	Photo     string           `json:"photo"`
	Reference piece.Reference  `json:"reference"`
	Repair    imageio.Outline  `json:"repair"`
	Wood      *imageio.Outline `json:"wood,omitempty"` // nil finds it round the repair
}

// A CheckResult is the answer.
type CheckResult struct {
	RepairSeen
	Advice []fault.Note       // what to do, the first thing first
	Lights []repair.LightRisk // under other lights, guessed; empty where Lamp is measured
	Before *RepairSeen        // nil when not asked
	Lamp   *RepairSeen        // nil when not asked
}

// RepairSeen is what one photo says of a repair.
type RepairSeen struct {
	Photo       string
	Calibration Calibration
	Verdict     repair.Verdict
	Near        repair.View
	Far         []repair.View // from the nearest on; empty when nothing tells the scale
	Why         []fault.Note
	Along       float64 // of the wood's grain, degrees: 0 level, 90 upright
	Coherence   float64 // how much of one direction it is, 0–1
	Left        float64 // share of what lies round the repair that was left out as no wood of its own
	MM          float64 // of one photo pixel; 0 where the scale is not known
	Warnings    []fault.Note
}

// Check judges a repair against the wood round it.
func Check(ctx context.Context, files Files, req CheckRequest) (*CheckResult, error) {
	distances := slices.Concat(repair.Distances, req.Distances)
	slices.Sort(distances)
	distances = slices.Compact(distances)
	r, err := openRepair(ctx, files, req.RepairView, req.Exclude)
	if err != nil {
		return nil, err
	}
	seen, appearance, err := r.judge(ctx, distances)
	if err != nil {
		return nil, err
	}
	result := &CheckResult{RepairSeen: *seen}
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
	result.Advice = repair.Advise(result.Near, appearance, shelf, surround.Roundness(req.Repair))
	if req.Before != nil {
		if result.Before, err = judgeView(ctx, files, *req.Before, distances); err != nil {
			return nil, err
		}
	}
	if req.Lamp != nil {
		if result.Lamp, err = judgeView(ctx, files, *req.Lamp, distances); err != nil {
			return nil, err
		}
	} else {
		result.Lights = repair.LightRisks(appearance)
	}
	return result, nil
}

// CheckOverlay is the part of a photo round a repair with what is judged drawn on it.
func CheckOverlay(ctx context.Context, files Files, req CheckRequest) (image.Image, error) {
	r, err := openRepair(ctx, files, req.RepairView, req.Exclude)
	if err != nil {
		return nil, err
	}
	return r.around.Overlay(ctx, r.photo.photo)
}

func judgeView(ctx context.Context, files Files, view RepairView, distances []float64) (*RepairSeen, error) {
	r, err := openRepair(ctx, files, view, nil)
	if err != nil {
		return nil, err
	}
	seen, _, err := r.judge(ctx, distances)
	return seen, err
}

// A repairPhoto is a photo of a repair, and what lies round the repair there.
type repairPhoto struct {
	view   RepairView
	photo  *calibratedPhoto
	around *surround.Surroundings
}

func openRepair(ctx context.Context, files Files, view RepairView, exclude []imageio.Outline) (*repairPhoto, error) {
	s, err := calibratePhoto(ctx, files, view.Photo, view.Reference)
	if err != nil {
		return nil, err
	}
	opt := surround.Options{Name: "repair", Wood: view.Wood, Exclude: exclude, Light: s.light}
	around, err := surround.Read(ctx, s.photo, view.Repair, s.correction, opt)
	if err != nil {
		return nil, err
	}
	return &repairPhoto{view, s, around}, nil
}

// judge judges the repair from near and from distances, in mm, as far as the photo tells its scale.
func (r *repairPhoto) judge(ctx context.Context, distances []float64) (*RepairSeen, *repair.Appearance, error) {
	appearance, err := appearanceOf(ctx, r.around)
	if err != nil {
		return nil, nil, err
	}
	seen := &RepairSeen{
		Photo: r.view.Photo, Calibration: r.photo.calibration, Near: appearance.ViewFrom(0), Left: r.around.Left,
		Along: math.Mod(180-appearance.Repair.Ring.Along, 180), Coherence: appearance.Repair.Ring.Coherence,
		MM: pixelMM(r.photo.scale, r.view.Repair.Centre()),
	}
	if seen.MM > 0 {
		views, err := r.around.From(ctx, distances, seen.MM)
		if err != nil {
			return nil, nil, err
		}
		for i, from := range views {
			far, err := appearanceOf(ctx, from)
			if err != nil {
				return nil, nil, err
			}
			seen.Far = append(seen.Far, far.ViewFrom(distances[i]))
		}
	} else {
		seen.Warnings = append(seen.Warnings, fault.Say("reading.no-scale"))
	}
	seen.Verdict = repair.Judge(seen.Near, seen.Far)
	if seen.Verdict != repair.Reads {
		seen.Why = seen.Near.Why(appearance)
	}
	return seen, appearance, nil
}

func appearanceOf(ctx context.Context, around *surround.Surroundings) (*repair.Appearance, error) {
	spot, err := around.Repair(ctx)
	if err != nil {
		return nil, err
	}
	patches, err := around.Patches(ctx)
	if err != nil {
		return nil, err
	}
	return &repair.Appearance{Repair: spot, Patches: patches, Size: around.Size()}, nil
}

// learnShelf learns the coatings of a piece.
func learnShelf(ctx context.Context, files Files, p *piece.Piece) ([]blend.Coating, error) {
	inPhoto := func(s *piece.ColourSource) bool { return s.Outline != "" || s.Area != "" }
	tested := func(t piece.TestCoat) bool { return inPhoto(&t.Ground) || inPhoto(&t.Result) }
	photos, err := openPhotos(ctx, files, p, slices.ContainsFunc(p.Coatings, func(k piece.Coating) bool {
		return k.Chip != nil && inPhoto(k.Chip) || slices.ContainsFunc(k.Tests, tested)
	}))
	if err != nil {
		return nil, err
	}
	read, err := readShelf(ctx, photos)
	if err != nil {
		return nil, err
	}
	if err := read.dry(ctx, photos); err != nil {
		return nil, err
	}
	dataset := &learn.Dataset{Shared: photos.shared(), Shelf: shelfOf(photos, read)}
	samples, err := dataset.Draw(ctx, learn.Options{Draws: 1})
	if err != nil {
		return nil, err
	}
	return samples.Best.Coatings, nil
}
