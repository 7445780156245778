package workshop

import (
	"context"
	"math"
	"slices"
	"sync"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A Taker takes all of a wood from taps on a photo of a piece, for somebody who has just tapped it. It keeps what it found out about the
// last photos, so that a further tap is quick. Its methods may be called from any number of goroutines.
type Taker struct {
	mutex sync.Mutex
	kept  []dividedPhoto // the last used last
}

type dividedPhoto struct {
	file  string
	cells *region.Cells
}

// keptPhotos are how many photos a Taker keeps the patches of: a few hundred kilobytes each.
const keptPhotos = 4

// A TakenWood is a wood that was tapped.
type TakenWood struct {
	SpotReading
	Outline string // the part of it to be measured, drawn in from its edges, as a piece file has it
	Shown   string // all of it
}

// Ready divides a photo of a piece and looks for its slips beforehand, so that the first tap on it is quick too.
func (t *Taker) Ready(ctx context.Context, files Files, p *piece.Piece, photo string) error {
	file := p.FileOf(photo)
	if file == "" {
		return noPhoto(p, photo)
	}
	opened, err := files.OpenPhoto(ctx, file)
	if err == nil {
		_, err = t.cells(ctx, file, opened)
	}
	if err == nil {
		_, err = slipsIn(ctx, files, file, opened)
	}
	return err
}

// Take takes the wood under taps on a photo of a piece, written as region.ParseTaps has them, and reads its colour. What the piece says
// of the photo, its chart and slips and areas of other names, is no part of it. Every error but that of the context is a fault.
func (t *Taker) Take(ctx context.Context, files Files, p *piece.Piece, photo, name, taps string) (*TakenWood, error) {
	tapped, err := region.ParseTaps(taps)
	if err != nil {
		return nil, err
	}
	file := p.FileOf(photo)
	if file == "" {
		return nil, noPhoto(p, photo)
	}
	opened, err := files.OpenPhoto(ctx, file)
	if err != nil {
		return nil, err
	}
	for _, t := range tapped {
		if f := beyond(t, opened); f != nil {
			return nil, f
		}
	}
	cells, err := t.cells(ctx, file, opened)
	if err != nil {
		return nil, err
	}
	mask, err := cells.Take(ctx, tapped, notOf(p, photo, name))
	if err != nil {
		return nil, err
	}
	whole, outline := mask.Outline(0), shrunk(mask, opened)
	spot, err := ReadSpot(ctx, files, p, photo, outline.String())
	if err != nil {
		return nil, err
	}
	return &TakenWood{SpotReading: spot, Outline: outline.String(), Shown: whole.String()}, nil
}

// What a spot is grown by round a tap: as long as it keeps its colour. Our own choices.
const (
	leastSpot  = 0.008 // half its side, as a share of the photo's longer side
	spotGrowth = 1.5   // of its side, from one size to the next
	spotSizes  = 5
	sameColour = 1.5 // ΔE00 between the means of one size and the next
	sameGrain  = 1.5 // that the spread of L* may grow by
)

// Spot reads a place that is tapped and what is round it, as far as that has the same colour: a dried blob, a test coat, the wood beside
// it. It is the last of several squares, each larger than the one before, whose colour and grain are those of the smaller. Every error but
// that of the context is a fault.
func (t *Taker) Spot(ctx context.Context, files Files, p *piece.Piece, photo, tap string) (*TakenWood, error) {
	taps, err := region.ParseTaps(tap)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(p.Photos, func(f piece.Photo) bool { return f.Name == photo })
	if at < 0 {
		return nil, noPhoto(p, photo)
	}
	ref, err := p.Photos[at].ReadReference()
	if err != nil {
		return nil, err
	}
	opened, err := files.OpenPhoto(ctx, p.Photos[at].File)
	if err != nil {
		return nil, err
	}
	last := taps[len(taps)-1]
	if f := beyond(last, opened); f != nil {
		return nil, f
	}
	req := MeasureRequest{Photo: p.Photos[at].File, Reference: ref}
	half := leastSpot * float64(max(opened.Width, opened.Height))
	for range spotSizes {
		req.Areas = append(req.Areas, AreaOutline{Name: "this spot", Outline: squareAt(last.At, half, opened)})
		half *= spotGrowth
	}
	result, err := Measure(ctx, files, req)
	if err != nil {
		return nil, err
	}
	best := 0
	for ; best+1 < len(result.Areas); best++ {
		is, next := &result.Areas[best].Reading, &result.Areas[best+1].Reading
		if colour.DeltaE2000(is.Mean, next.Mean) > sameColour || next.Spread[0] > is.Spread[0]+sameGrain {
			break
		}
	}
	outline := req.Areas[best].Outline.String()
	return &TakenWood{SpotReading: spotReading(result, best), Outline: outline, Shown: outline}, nil
}

// Carry proposes where an area of a piece lies in another of its photos, and reads it there; nil where it is not found for sure enough.
// Every error but that of the context is a fault.
func (t *Taker) Carry(ctx context.Context, files Files, p *piece.Piece, a *piece.Area, photo string) (*TakenWood, error) {
	from, to := p.FileOf(a.Photo), p.FileOf(photo)
	if from == "" || to == "" {
		return nil, noPhoto(p, photo)
	}
	req := CarryRequest{From: from, To: to, FromSlips: p.SlipMarksOf(from), ToSlips: p.SlipMarksOf(to)}
	for i, text := range append([]string{a.Outline}, a.Shown...) {
		o, err := imageio.ParseOutline(text)
		if err != nil {
			return nil, err
		}
		name := a.Name
		if i > 0 {
			name = "all of it"
		}
		req.Areas = append(req.Areas, AreaOutline{Name: name, Outline: o})
	}
	found, err := CarryOutlines(ctx, files, req)
	if err != nil {
		return nil, err
	}
	if s := found.Areas[0].Sure; s != Sure && s != Likely {
		return nil, nil
	}
	taken := &TakenWood{Outline: found.Areas[0].Outline.String(), Shown: found.Areas[0].Outline.String()}
	if len(found.Areas) > 1 && found.Areas[1].Sure != Beside {
		taken.Shown = found.Areas[1].Outline.String()
	}
	taken.SpotReading, err = ReadSpot(ctx, files, p, photo, taken.Outline)
	return taken, err
}

// squareAt is a square round a place, as far as it lies on the photo.
func squareAt(at imageio.Point, half float64, photo *imageio.Photo) imageio.Outline {
	left, top := math.Round(max(0, at.X-half)), math.Round(max(0, at.Y-half))
	right, bottom := math.Round(min(float64(photo.Width), at.X+half)), math.Round(min(float64(photo.Height), at.Y+half))
	return imageio.Rect(left, top, right-left, bottom-top)
}

// cells are the patches of a photo.
func (t *Taker) cells(ctx context.Context, file string, photo *imageio.Photo) (*region.Cells, error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if i := slices.IndexFunc(t.kept, func(d dividedPhoto) bool { return d.file == file }); i >= 0 {
		last := t.kept[i]
		t.kept = append(slices.Delete(t.kept, i, i+1), last)
		return last.cells, nil
	}
	cells, err := region.Divide(ctx, photo)
	if err != nil {
		return nil, err
	}
	if len(t.kept) == keptPhotos {
		t.kept = slices.Delete(t.kept, 0, 1)
	}
	t.kept = append(t.kept, dividedPhoto{file, cells})
	return cells, nil
}

// notOf outlines what a piece says that is in a photo and is no part of an area.
func notOf(p *piece.Piece, photo, area string) []imageio.Outline {
	all := notWood(p, photo)
	for i := range p.Photos {
		if f := &p.Photos[i]; f.Name == photo {
			if c, err := imageio.ParseOutline(f.Corners); err == nil {
				all = append(all, c)
			}
		}
	}
	for i := range p.Areas {
		a := &p.Areas[i]
		if a.Photo != photo && a.Photo != "" || a.Name == area {
			continue
		}
		for _, text := range append([]string{a.Outline}, a.Shown...) {
			if o, err := imageio.ParseOutline(text); err == nil {
				all = append(all, o)
			}
		}
	}
	return all
}

// shrunk outlines a wood that was tapped, drawn in from its edges, for measuring.
func shrunk(mask *region.Mask, photo *imageio.Photo) imageio.Outline {
	inside := math.Round(insideEdge * float64(max(photo.Width, photo.Height)))
	if o := mask.Outline(inside); len(o.Points) > 0 {
		return o
	}
	return mask.Outline(0) // too narrow to be drawn in
}

// beyond reports a tap that is beyond a photo; nil for one on it.
func beyond(t region.Tap, photo *imageio.Photo) *fault.Fault {
	if t.At.X < 0 || t.At.Y < 0 || t.At.X >= float64(photo.Width) || t.At.Y >= float64(photo.Height) {
		return fault.New(fault.Use, "tap.beyond", "x", t.At.X, "y", t.At.Y, "wide", photo.Width, "high", photo.Height)
	}
	return nil
}
