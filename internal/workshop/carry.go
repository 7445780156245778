package workshop

import (
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/carry"
	"huewright/imageio/region"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/piece"
)

// A CarryRequest asks for the areas of one photo in another of the same face.
type CarryRequest struct {
	From  string        `json:"from"`
	To    string        `json:"to"`
	Areas []AreaOutline `json:"areas"` // in the first photo
	// FromSlips and ToSlips are what was said of the printed slips in them.
	FromSlips piece.SlipMarks `json:"from_slips,omitzero"`
	ToSlips   piece.SlipMarks `json:"to_slips,omitzero"`
}

// A CarryResult is where the areas of one photo lie in another.
type CarryResult struct {
	From, To string
	Slips    []slip.Design // both photos show, and it stands on; none: from the picture alone, to be looked at before anything is measured
	Places   int           // of the face that were looked for in the second photo
	Agree    float64       // the share of them that was found where it says
	Areas    []CarriedArea
	Warnings []fault.Note
}

// Proposed reports whether the outlines stand on the picture alone.
func (r *CarryResult) Proposed() bool { return len(r.Slips) == 0 }

// A Sureness says how sure it is that an outline lies where it belongs.
type Sureness string

// From what may be measured to what must be drawn anew.
const (
	Sure     Sureness = "sure"
	Likely   Sureness = "likely"
	Doubtful Sureness = "doubtful"
	Beside   Sureness = "beside" // most of it is not on the photo: there is no outline
)

// A CarriedArea is an area where the second photo shows it.
type CarriedArea struct {
	Name     string
	Outline  imageio.Outline // within the photo, in tenths of a pixel; none where Sure is Beside
	Sure     Sureness
	Seen     float64 // the share of it that is on the photo
	Edges    float64 // the share of its edge that was found again, of what there is to see
	Warnings []fault.Note
}

// What tells how sure an outline is. Our own choice, tried on drawn cabinets, where the share of places was 0.4 to 0.7 when all was right.
const (
	wellAgreed  = 0.30 // share of places, or of an edge, from which the picture bears it out
	fairlyKnown = 0.20 // of an edge, below which it is doubtful
	fewEdges    = 12   // places on an edge that say too little
	leastSeen   = 0.5  // of an area that is on the photo
	otherColour = 0.35 // change of colour beside the rest of the face that is told
)

// CarryOutlines finds the areas of one photo in another photo of the same face: by the printed slips that both show, else from the picture
// alone. Then they are proposals. Areas that are tapped in the first photo are grown there.
func CarryOutlines(ctx context.Context, files Files, req CarryRequest) (*CarryResult, error) {
	if len(req.Areas) == 0 {
		return nil, fault.New(fault.Use, "piece.nothing-to-measure")
	}
	areas, from, err := inFirstPhoto(ctx, files, req)
	if err != nil {
		return nil, err
	}
	to, err := viewOf(ctx, files, req.To, req.ToSlips)
	if err != nil {
		return nil, err
	}
	var outlines []imageio.Outline
	for _, a := range areas {
		outlines = append(outlines, a.Outline)
	}
	match, err := carry.Find(ctx, from, to, outlines)
	if err != nil {
		return nil, fault.In(err, fault.Place{File: req.To})
	}
	result := &CarryResult{From: req.From, To: req.To, Slips: match.Slips, Places: match.Places, Agree: match.Agree}
	for _, d := range match.Moved {
		result.Warnings = append(result.Warnings, fault.Say("carry.slip-moved", "slip", d.Number))
	}
	result.Areas = make([]CarriedArea, len(areas))
	err = parallel.Each(ctx, len(areas), func(i int) (err error) {
		result.Areas[i], err = carried(ctx, match, to.Photo, i, areas[i].Name)
		return err
	})
	return result, err
}

// inFirstPhoto are the areas of the first photo with their outlines, and what is to be known of that photo.
func inFirstPhoto(ctx context.Context, files Files, req CarryRequest) (areas []AreaOutline, from carry.View, err error) {
	areas = append(areas, req.Areas...)
	for _, a := range areas {
		if len(a.Taps) > 0 && len(a.Outline.Points) == 0 {
			s, err := calibratePhoto(ctx, files, req.From, piece.Reference{SlipMarks: req.FromSlips})
			if err != nil {
				return nil, from, err
			}
			return areas, carry.View{Photo: s.photo, Slips: s.slips}, s.tapped(ctx, areas)
		}
	}
	if from, err = viewOf(ctx, files, req.From, req.FromSlips); err != nil {
		return nil, from, err
	}
	for _, a := range areas {
		if err := a.Outline.CheckOn(from.Photo); err != nil {
			return nil, from, fault.In(err, fault.Place{File: req.From, Area: a.Name})
		}
	}
	return areas, from, nil
}

func viewOf(ctx context.Context, files Files, path string, said piece.SlipMarks) (v carry.View, err error) {
	if v.Photo, err = files.OpenPhoto(ctx, path); err != nil {
		return v, err
	}
	slips, err := slipsOf(ctx, files, path, v.Photo, said)
	v.Slips = slip.Once(slips)
	return v, err
}

// carried is the n-th area where a match says, and how sure.
func carried(ctx context.Context, match *carry.Match, to *imageio.Photo, n int, name string) (CarriedArea, error) {
	j, err := match.Judge(ctx, n)
	if err != nil {
		return CarriedArea{}, err
	}
	out := CarriedArea{Name: name, Seen: j.Seen, Edges: j.Edges, Sure: sureness(match, &j)}
	tenths := func(v float64) float64 { return math.Round(10*v) / 10 }
	moved := match.Outline(n).Within(to.Width, to.Height).Mapped(func(p imageio.Point) imageio.Point {
		return imageio.Point{X: tenths(p.X), Y: tenths(p.Y)}
	})
	if j.Seen < leastSeen || moved.CheckOn(to) != nil {
		out.Sure = Beside
		out.Warnings = append(out.Warnings, fault.Say("carry.beside", "area", name))
		return out, nil
	}
	out.Outline = moved
	if out.Sure == Doubtful {
		out.Warnings = append(out.Warnings, fault.Say("carry.doubtful", "area", name))
	} else if j.PlaneUnknown {
		out.Warnings = append(out.Warnings, fault.Say("carry.plane-unknown", "area", name))
	}
	if j.Change > otherColour {
		out.Warnings = append(out.Warnings, fault.Say("carry.other-colour", "area", name))
	}
	return out, nil
}

// sureness weighs what a match stands on against what is found of an area's edge.
func sureness(match *carry.Match, j *carry.Judgement) Sureness {
	borneOut := match.Agree >= wellAgreed
	if j.Looked >= fewEdges {
		if j.Edges < fairlyKnown {
			return Doubtful
		}
		borneOut = borneOut && j.Edges >= wellAgreed
	}
	switch {
	case borneOut && len(match.Slips) > 0 && !j.PlaneUnknown:
		return Sure
	case borneOut, len(match.Slips) > 1:
		return Likely
	}
	return Doubtful
}

// Corners is how many corners the outline of an area has.
func (a *CarriedArea) Corners() (n int) {
	n = len(a.Outline.Points)
	for _, ring := range slices.Concat(a.Outline.More, a.Outline.Holes) {
		n += len(ring)
	}
	return n
}

// SlipNumbers are the numbers of the slips that a result stands on.
func (r *CarryResult) SlipNumbers() (numbers []string) {
	for _, d := range r.Slips {
		numbers = append(numbers, fmt.Sprint(d.Number))
	}
	return numbers
}

// Found is how many places of the face were found where the result says.
func (r *CarryResult) Found() int { return int(math.Round(r.Agree * float64(r.Places))) }

// Measurement asks for the colours of the areas where they were found, for what is drawn or kept of it.
func (r *CarryResult) Measurement() MeasureRequest {
	req := MeasureRequest{Photo: r.To}
	for i := range r.Areas {
		if a := &r.Areas[i]; a.Sure != Beside {
			req.Areas = append(req.Areas, AreaOutline{Name: a.Name, Outline: a.Outline})
		}
	}
	return req
}

// CarryFromPiece asks for the areas that a piece has in one of its photos, by name, "" for that of its first outlined area, in another
// photo. Areas that are given in figures or in other photos are left out.
func CarryFromPiece(p *piece.Piece, photo, to string) (CarryRequest, error) {
	drawn := func(a *piece.Area) bool { return a.Outline != "" || a.Tap != "" }
	if i := slices.IndexFunc(p.Areas, func(a piece.Area) bool { return drawn(&a) }); photo == "" && i >= 0 {
		photo = p.Areas[i].Photo
	}
	if photo == "" && len(p.Photos) == 1 {
		photo = p.Photos[0].Name
	}
	req := CarryRequest{From: p.FileOf(photo), To: to}
	if req.From == "" {
		return req, noPhoto(p, photo)
	}
	req.FromSlips, req.ToSlips = p.SlipMarksOf(req.From), p.SlipMarksOf(to)
	for i := range p.Areas {
		a := &p.Areas[i]
		outline := a.Also[photo]
		if drawn(a) && (a.Photo == photo || a.Photo == "") {
			outline = a.Outline
		} else if outline == "" {
			continue
		}
		area := AreaOutline{Name: a.Name}
		var err error
		if outline == "" {
			area.Taps, err = region.ParseTaps(a.Tap)
		} else {
			area.Outline, err = imageio.ParseOutline(outline)
		}
		if err != nil {
			return req, fault.In(err, fault.Place{Area: a.Name})
		}
		req.Areas = append(req.Areas, area)
	}
	if len(req.Areas) == 0 {
		return req, fault.New(fault.Use, "carry.no-piece-areas", "photo", photo)
	}
	return req, nil
}
