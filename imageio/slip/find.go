package slip

import (
	"cmp"
	"context"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

// A Slip is one that a photo shows.
type Slip struct {
	Design
	Corners [4]imageio.Point // of its frame, clockwise from the top left of the slip, in pixels
	Wrong   int              // cells that were misread and put right, 0 to 3
	face    face
	off     float64 // of the frame's edge from its face, root mean square in millimetres
}

// Pixels is the length of the frame's shortest side in the photo.
func (s *Slip) Pixels() float64 {
	shortest, _ := s.face.sides()
	return shortest
}

// Middle is where the photo shows the middle of the slip.
func (s *Slip) Middle() imageio.Point { return s.face.point(Side/2, Side/2) }

// Covers reports whether a place of the photo lies on the slip's paper.
func (s *Slip) Covers(at imageio.Point) bool {
	x, y, ok := s.face.plane.Inverse(at)
	return ok && min(x, y) > -Margin && max(x, y) < Side+Margin
}

// Find looks for slips, and lists them by set and number. Those whose frame is 80 pixels or more wide, not slanted by more than 50°
// and bare of glare are nearly always found, smaller ones more seldom. What is none is refused: the ring must spell a slip in all but
// three of its 36 cells, and the patches must agree about which way is up. The error is that of the context.
func Find(ctx context.Context, p *imageio.Photo) ([]Slip, error) {
	levels, err := levelsOf(ctx, p)
	if err != nil {
		return nil, err
	}
	s := scene{p}
	var found []Slip
	for _, l := range levels {
		dark, err := l.dark(ctx)
		if err != nil {
			return nil, err
		}
		var frames [len(darkness)][][]imageio.Point
		if err := parallel.For(ctx, len(dark), func(k int) { frames[k] = components(dark[k]) }); err != nil {
			return nil, err
		}
		all := slices.Concat(frames[:]...)
		seen := make([]*Slip, len(all))
		if err := parallel.For(ctx, len(all), func(i int) {
			if q, ok := quadOf(all[i]); ok && l.perhapsFramed(q) {
				seen[i] = s.slip(plane.Scaled(q, l.scale))
			}
		}); err != nil {
			return nil, err
		}
		for _, slip := range seen {
			if slip != nil {
				found = append(found, *slip)
			}
		}
	}
	return distinct(found), nil
}

// Once leaves out slips that are there twice: prints of one set that lie side by side tell nothing of which is which.
func Once(slips []Slip) (once []Slip) {
	count := map[Design]int{}
	for _, s := range slips {
		count[s.Design]++
	}
	for _, s := range slips {
		if count[s.Design] == 1 {
			once = append(once, s)
		}
	}
	return once
}

// slip is the slip whose frame has about these corners, or nil.
func (s scene) slip(corners [4]imageio.Point) *Slip {
	f := faceOf(corners, [4]float64{})
	if !f.convex() || !s.framed(&f) || !s.perhapsRing(&f) {
		return nil
	}
	f, off, ok := s.fitted(f)
	if !ok {
		return nil
	}
	found := s.read(f)
	if found != nil {
		found.off = off
	}
	return found
}

// distinct keeps one of those that were found several times, the one that was read best.
func distinct(found []Slip) (kept []Slip) {
	slices.SortStableFunc(found, func(a, b Slip) int { return cmp.Or(cmp.Compare(a.Wrong, b.Wrong), cmp.Compare(a.off, b.off)) })
	for _, s := range found {
		middle := plane.Centre(s.Corners)
		if !slices.ContainsFunc(kept, func(k Slip) bool { return plane.Encloses(k.Corners, middle) }) {
			kept = append(kept, s)
		}
	}
	slices.SortStableFunc(kept, func(a, b Slip) int {
		return cmp.Or(cmp.Compare(a.Set, b.Set), cmp.Compare(a.Number, b.Number), cmp.Compare(a.Corners[0].X, b.Corners[0].X))
	})
	return kept
}
