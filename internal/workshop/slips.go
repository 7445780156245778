package workshop

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A SlipKeeper is Files whose paths name one content for ever, and that keep which printed slips were found there: to look for them takes
// longer than all else that a photo is read for. Whoever gets slips from it does not change them.
type SlipKeeper interface {
	SlipsOf(path string) (slips []slip.Slip, known bool)
	KeepSlips(path string, slips []slip.Slip)
}

// slipsIn are the printed slips that an open photo shows.
func slipsIn(ctx context.Context, files Files, path string, photo *imageio.Photo) ([]slip.Slip, error) {
	keeper, keeps := files.(SlipKeeper)
	if keeps {
		if slips, known := keeper.SlipsOf(path); known {
			return slips, nil
		}
	}
	slips, err := slip.Find(ctx, photo)
	if err == nil && keeps {
		keeper.KeepSlips(path, slips)
	}
	return slips, err
}

// slipsOf are the printed slips of an open photo by what was said of them: those that were found but for what is none, and those at given
// corners in place of what was found there. Given corners at which no slip is, or one that the photo shows elsewhere, are a fault.
func slipsOf(ctx context.Context, files Files, path string, photo *imageio.Photo, said piece.SlipMarks) ([]slip.Slip, error) {
	slips, err := slipsIn(ctx, files, path, photo)
	if err != nil {
		return nil, err
	}
	slips = slices.DeleteFunc(slices.Clone(slips), func(s slip.Slip) bool { return slices.ContainsFunc(said.NotSlips, s.Covers) })
	for _, corners := range said.SlipCorners {
		given, err := slip.At(ctx, photo, corners)
		if err != nil {
			return nil, fault.In(err, fault.Place{File: path})
		}
		slips = slices.DeleteFunc(slips, func(s slip.Slip) bool { return s.Covers(given.Middle()) || given.Covers(s.Middle()) })
		if slices.ContainsFunc(slips, func(s slip.Slip) bool { return s.Design == given.Design }) {
			return nil, fault.In(fault.New(fault.Photo, "slip.twice", "slip", given.Number), fault.Place{File: path})
		}
		slips = append(slips, given)
	}
	return slips, nil
}

// A SlipLook is a printed slip where a photo shows it.
type SlipLook struct {
	slip.Design
	Corners string // of its frame, x,y x,y …
}

// ReadSlip reads which slip a photo of a piece shows at corners that somebody gives, written as in a piece file: beside what the piece says
// of the other slips there. Every error but that of the context is a fault.
func ReadSlip(ctx context.Context, files Files, p *piece.Piece, photo, corners string) (SlipLook, error) {
	given, err := piece.ParseSlipCorners(corners)
	if err != nil {
		return SlipLook{}, err
	}
	file := p.FileOf(photo)
	if file == "" {
		return SlipLook{}, noPhoto(p, photo)
	}
	opened, err := files.OpenPhoto(ctx, file)
	if err != nil {
		return SlipLook{}, err
	}
	said := p.SlipMarksOf(file)
	said.SlipCorners = append(said.SlipCorners, given)
	slips, err := slipsOf(ctx, files, file, opened, said)
	if err != nil {
		return SlipLook{}, err
	}
	return slipLook(&slips[len(slips)-1]), nil
}

func slipLook(s *slip.Slip) SlipLook {
	var corners []string
	for _, c := range s.Corners {
		corners = append(corners, fmt.Sprintf("%.1f,%.1f", c.X, c.Y))
	}
	return SlipLook{s.Design, strings.Join(corners, " ")}
}

// SlipsNote says which printed slips a photo shows; it says nothing where there are none.
func (c *Calibration) SlipsNote() fault.Note { return slipsNote(c.Slips) }

// SlipsNote says which printed slips the photo shows; it says nothing where there are none.
func (l PhotoLook) SlipsNote() fault.Note { return slipsNote(l.Slips) }

func slipsNote(slips []slip.Design) fault.Note {
	if len(slips) == 0 {
		return fault.Note{}
	}
	sameSet := !slices.ContainsFunc(slips, func(d slip.Design) bool { return d.Set != slips[0].Set })
	var names []string
	for _, d := range slips {
		name := fmt.Sprint(d.Number)
		if !sameSet {
			name = fmt.Sprintf("%d (set %d)", d.Number, d.Set)
		}
		names = append(names, name)
	}
	return fault.Say("slip.found", "slips", names, "n", len(names))
}

// scaleBySlips is the scale by the slip that is seen largest; nil where there is none.
func scaleBySlips(slips []slip.Slip) *chart.Scale {
	if len(slips) == 0 {
		return nil
	}
	largest := slices.MaxFunc(slips, func(a, b slip.Slip) int { return int(a.Pixels() - b.Pixels()) })
	scale := chart.ScaleBySquare(largest.Corners, slip.Side)
	return &scale
}

const (
	// leastLightSlips is how many printed slips tell of the light over a photo: on a plane it has three unknowns.
	leastLightSlips = 3
	// slipLightness is what the paper of slips is taken to have where nothing tells: only that all have the same matters.
	slipLightness = 94
)

// slipPapers are the paper patches of the printed slips of one set, for the light over the photo, with the slips' numbers; none where
// there are too few.
func (s *calibratedPhoto) slipPapers(ctx context.Context) (papers []evenlight.Slip, numbers []int, err error) {
	count := map[int]int{}
	set := 0 // the one most slips are of
	for _, found := range s.slips {
		if count[found.Set]++; count[found.Set] > count[set] {
			set = found.Set
		}
	}
	for i := range s.slips {
		found := &s.slips[i]
		if found.Set != set || found.Pixels() < slip.BestPixels {
			continue
		}
		patches, err := slip.Read(ctx, s.photo, found)
		if err != nil {
			return nil, nil, err
		}
		if paper := patches[0]; paper.Clipped == 0 { // the first patch of every slip is paper
			papers = append(papers, evenlight.Slip{Outline: paper.Outline, Lightness: slipLightness})
			numbers = append(numbers, found.Number)
		}
	}
	if len(papers) < leastLightSlips {
		return nil, nil, nil
	}
	return papers, numbers, nil
}

// renumber gives the warnings about the neutrals of a photo the numbers that stand on the slips.
func renumber(warnings []fault.Note, numbers []int) {
	for i := range warnings {
		n, is := warnings[i].Values["number"].(int)
		if !is || n < 1 || n > len(numbers) {
			continue
		}
		warnings[i].Values = maps.Clone(warnings[i].Values)
		warnings[i].Values["number"] = numbers[n-1]
	}
}

// slipTies are the tie points of the printed slips of a photo, and to which slip each belongs.
func (s *calibratedPhoto) slipTies(ctx context.Context, of map[string]slip.Design) ([]camera.TiePoint, error) {
	var all []camera.TiePoint
	for _, found := range s.slips {
		ties, err := slip.TiePoints(ctx, s.photo, []slip.Slip{found}, s.light)
		if err != nil {
			return nil, err
		}
		for _, tie := range ties {
			of[tie.Name] = found.Design
		}
		all = append(all, ties...)
	}
	return all, nil
}

// slipWarnings warn of slips that look different in a photo from what the other photos show.
//
// Note: another printing of all slips is not found out: it looks like another camera.
func slipWarnings(joint *camera.Joint, photos []camera.PhotoView, of map[string]slip.Design) (warnings []fault.Note) {
	for _, tie := range joint.Ties() {
		design, is := of[tie.Name]
		if !is {
			continue
		}
		for i, off := range tie.Off {
			if off > tieOff {
				warnings = append(warnings, fault.Say("slip.looks-different", "slip", design.Number, "photo", photos[tie.Photos[i]].Name))
			}
		}
	}
	return fault.Once(warnings)
}
