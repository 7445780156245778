package workshop

import (
	"context"
	"maps"
	"slices"
	"sync"

	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/piece"
)

// A SeveralRequest asks for areas in several photos.
type SeveralRequest struct {
	Photos []MeasureRequest `json:"photos"`
	Ties   []piece.Tie      `json:"ties,omitempty"` // by piece.PhotoName
	// Done is called after each photo, from one goroutine at a time; nil is not called.
	Done func() `json:"-"`
}

// A SeveralResult is what several photos say.
type SeveralResult struct {
	Photos   []PhotoReading // in the order asked
	Between  []Agreement    // how far each two agree, where ties were given; empty otherwise
	Warnings []fault.Note
}

// A PhotoReading is what one of several photos says, or why it says nothing.
type PhotoReading struct {
	Photo  string
	Result *MeasureResult // nil with Err
	Err    error
}

// MeasureSeveral reads areas in several photos. A fault in one photo is kept with it and does not
// stop the rest. Without ties each photo is open only while it is read, as many at a time as there
// are processors. With ties, or a printed slip that two photos show, all are kept open and corrected until they agree about those.
//
// Its error is that of the context, or a fault for photos of one name, and for ties of photos that are not there.
func MeasureSeveral(ctx context.Context, files Files, req SeveralRequest) (*SeveralResult, error) {
	names := map[string]bool{}
	for _, p := range req.Photos {
		name := piece.PhotoName(p.Photo)
		if names[name] {
			return nil, fault.New(fault.Use, "piece.same-file-name", "name", name)
		}
		names[name] = true
	}
	for _, t := range req.Ties {
		for _, name := range slices.Sorted(maps.Keys(t.In)) {
			if !names[name] {
				known := slices.Sorted(maps.Keys(names))
				return nil, fault.In(piece.Unknown("piece.no-photo", name, known), fault.Place{Area: t.Name})
			}
		}
		if len(t.In) < 2 {
			return nil, fault.In(fault.New(fault.Use, "piece.tie-photos", "n", len(t.In)), fault.Place{Area: t.Name})
		}
	}
	if len(req.Ties) > 0 {
		return together(ctx, files, &req)
	}
	out, err := eachByItself(ctx, files, &req)
	if err != nil || !out.sharesSlips() {
		return out, err
	}
	req.Done = nil // they have been counted
	return together(ctx, files, &req)
}

// sharesSlips reports whether two photos show the same printed slip, which ties them.
func (r *SeveralResult) sharesSlips() bool {
	seen := map[slip.Design]bool{}
	for i := range r.Photos {
		if r.Photos[i].Result == nil {
			continue
		}
		for _, d := range r.Photos[i].Result.Calibration.Slips {
			if seen[d] {
				return true
			}
			seen[d] = true
		}
	}
	return false
}

func (req *SeveralRequest) done(lock *sync.Mutex) {
	if req.Done == nil {
		return
	}
	lock.Lock()
	defer lock.Unlock()
	req.Done()
}

func eachByItself(ctx context.Context, files Files, req *SeveralRequest) (*SeveralResult, error) {
	out := &SeveralResult{Photos: make([]PhotoReading, len(req.Photos))}
	var lock sync.Mutex
	if err := parallel.For(ctx, len(req.Photos), func(i int) {
		p := &out.Photos[i]
		p.Photo = req.Photos[i].Photo
		p.Result, p.Err = Measure(ctx, files, req.Photos[i])
		req.done(&lock)
	}); err != nil {
		return nil, err
	}
	return out, nil
}

// together corrects all photos until they agree about their ties, and then reads their areas.
func together(ctx context.Context, files Files, req *SeveralRequest) (*SeveralResult, error) {
	out := &SeveralResult{Photos: make([]PhotoReading, len(req.Photos))}
	var lock sync.Mutex
	var calibrated []*calibratedPhoto
	opened := &piece.Piece{}
	there := map[string]bool{}
	for i := range req.Photos {
		p := &req.Photos[i]
		out.Photos[i].Photo = p.Photo
		s, err := calibratePhoto(ctx, files, p.Photo, p.Reference)
		if ended := ctx.Err(); ended != nil {
			return nil, ended
		}
		if err != nil {
			out.Photos[i].Err = err
			req.done(&lock)
			continue
		}
		s.name, s.at = piece.PhotoName(p.Photo), len(calibrated)
		calibrated, there[s.name] = append(calibrated, s), true
		opened.Photos = append(opened.Photos, piece.Photo{Name: s.name, File: p.Photo})
	}
	for _, t := range req.Ties {
		seen := maps.Clone(t.In)
		maps.DeleteFunc(seen, func(name, _ string) bool { return !there[name] })
		if len(seen) > 1 {
			opened.Ties = append(opened.Ties, piece.Tie{Name: t.Name, In: seen})
		}
	}
	photos, err := tied(ctx, opened, calibrated)
	if err != nil {
		return nil, err
	}
	for i := range req.Photos {
		if out.Photos[i].Err != nil {
			continue
		}
		s, err := photos.named(piece.PhotoName(req.Photos[i].Photo))
		if err != nil {
			return nil, err
		}
		out.Photos[i].Result, out.Photos[i].Err = s.read(ctx, req.Photos[i])
		req.done(&lock)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out.Between, out.Warnings = photos.between, fault.Once(slices.Concat(photos.warnings, photos.unlike()))
	return out, nil
}
