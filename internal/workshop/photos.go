package workshop

import (
	"context"
	"slices"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// Photos are the photos of a piece, open, with their colours set right as far as their references and
// the ties between them allow. Readings are taken from them and previews drawn on them; nothing
// changes them. Whoever opened them holds their memory for as long as it keeps them.
type Photos struct {
	piece    *piece.Piece
	photos   []*calibratedPhoto // in the order of the piece; nil for one that nothing is read from
	joint    *camera.Joint      // of all photos; nil where there is one
	between  []Agreement
	warnings []fault.Note

	candidates []plan.Candidate // that the piece names
}

// OpenPhotos opens the photos of a piece that is to be planned. It returns a fault for a piece that
// asks for no plan.
func OpenPhotos(ctx context.Context, files Files, p *piece.Piece) (*Photos, error) {
	if err := plannable(p); err != nil {
		return nil, err
	}
	var candidates []plan.Candidate
	if p.Candidates != "" {
		var err error
		if candidates, err = readCandidates(files, p.Candidates); err != nil {
			return nil, err
		}
	}
	photos, err := openPhotos(ctx, files, p, true)
	if err != nil {
		return nil, err
	}
	photos.candidates = candidates
	return photos, nil
}

// openPhotos opens all photos of a piece, or, where it has one only, that one if it is needed.
func openPhotos(ctx context.Context, files Files, p *piece.Piece, needed bool) (*Photos, error) {
	calibrated := make([]*calibratedPhoto, len(p.Photos))
	if len(calibrated) == 1 && !needed {
		return &Photos{piece: p, photos: calibrated}, nil
	}
	for i := range calibrated {
		ref, err := p.Photos[i].ReadReference()
		if err != nil {
			return nil, err
		}
		s, err := calibratePhoto(ctx, files, p.Photos[i].File, ref)
		if err != nil {
			return nil, err
		}
		s.at, s.name = i, p.Photos[i].Name
		calibrated[i] = s
	}
	photos, err := tied(ctx, p, calibrated)
	if err != nil {
		return nil, err
	}
	return photos, photos.growTaps(ctx)
}

// tied solves the photos of a piece together, so that their corrections agree about the ties between them.
func tied(ctx context.Context, opened *piece.Piece, calibrated []*calibratedPhoto) (*Photos, error) {
	p := &Photos{piece: opened, photos: calibrated}
	if len(calibrated) < 2 {
		return p, nil
	}
	views, bySlips, err := viewsOf(ctx, calibrated, opened.Ties)
	if err != nil {
		return nil, err
	}
	if p.joint, err = camera.FitJoint(ctx, views); err != nil {
		return nil, err
	}
	p.photos = make([]*calibratedPhoto, len(calibrated))
	for i, s := range calibrated {
		p.photos[i] = s.agreeing(p.joint, views)
	}
	var untied []fault.Note
	p.between, untied = agreements(p.joint, views)
	p.warnings = slices.Concat(tieWarnings(p.joint, views, bySlips), slipWarnings(p.joint, views, bySlips))
	if len(untied) > 0 {
		p.warnings = append(p.warnings, untiedWarning(untied))
	}
	return p, nil
}

// named is a photo of the piece; "" means the only one.
func (p *Photos) named(name string) (*calibratedPhoto, error) {
	i := slices.IndexFunc(p.piece.Photos, func(photo piece.Photo) bool { return photo.Name == name || name == "" && len(p.photos) == 1 })
	if i < 0 {
		return nil, noPhoto(p.piece, name)
	}
	return p.photos[i], nil
}

// noPhoto is the fault of a name that no photo of a piece has.
func noPhoto(p *piece.Piece, name string) error {
	var names []string
	for i := range p.Photos {
		names = append(names, p.Photos[i].Name)
	}
	return piece.Unknown("piece.no-photo", name, names)
}

// noArea is the fault of a name that no area of a piece has.
func noArea(p *piece.Piece, name string) error {
	var names []string
	for i := range p.Areas {
		names = append(names, p.Areas[i].Name)
	}
	return piece.Unknown("piece.no-area", name, names)
}

// opened are the photos that are open, in the order of the piece.
func (p *Photos) opened() []*calibratedPhoto {
	return slices.DeleteFunc(slices.Clone(p.photos), func(s *calibratedPhoto) bool { return s == nil })
}

// Pixels are those of all photos that are open.
func (p *Photos) Pixels() (n int64) {
	for _, s := range p.opened() {
		n += int64(s.photo.Width) * int64(s.photo.Height)
	}
	return n
}

// shared is the covariance of the errors that the photos' corrections make in two readings, also of a colour as a photo would have
// shown it; nil where no photo is open.
func (p *Photos) shared() func(a, b learn.Measured) [3][3]float64 {
	if p.joint == nil {
		opened := p.opened()
		if len(opened) == 0 {
			return nil
		}
		return func(a, b learn.Measured) [3][3]float64 { return opened[0].correction.Covariance(a.Lab, b.Lab) }
	}
	at := map[string]int{}
	for _, s := range p.photos {
		at[s.name] = s.at
	}
	return func(a, b learn.Measured) [3][3]float64 {
		return p.joint.Covariance(at[a.Photo], a.Lab, at[b.Photo], b.Lab)
	}
}

// apart is the 95 % radius, ΔE00, of the difference between the readings of one surface in two photos.
func (p *Photos) apart(a, b *calibratedPhoto, of, beside colour.Lab) float64 {
	return p.joint.PlusMinusBetween(a.at, of, b.at, beside)
}

// unlike warns where a photo was taken with other camera settings than the first.
func (p *Photos) unlike() (warnings []fault.Note) {
	opened := p.opened()
	for i, s := range opened {
		if unlike := opened[0].photo.Facts.Differences(s.photo.Facts); i > 0 && len(unlike) > 0 {
			warnings = append(warnings, fault.Say("photo.unlike", "one", opened[0].name, "other", s.name, "differences", unlike))
		}
	}
	return warnings
}

// plannable returns what keeps a piece from being planned, or nil.
func plannable(p *piece.Piece) error {
	switch {
	case len(p.Areas) == 0:
		return fault.New(fault.Use, "piece.no-areas")
	case len(p.Coatings) == 0:
		return fault.New(fault.Use, "piece.no-coatings")
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
			return fault.In(fault.New(fault.Use, "piece.no-target"), fault.Place{Area: a.Name})
		}
	}
	if with == 0 && len(p.Areas) == 1 {
		return fault.In(fault.New(fault.Use, "piece.nothing-to-meet"), fault.Place{Area: p.Areas[0].Name})
	}
	return nil
}
