// Package surround looks at a repair and at the wood round it: is it as unlike its neighbourhood as no patch of
// the wood is, near by and from across the room?
//
// [Read] lays a grid over a repair and its surroundings (grid.go), in colours corrected and evened, marks what of
// it is the repair's own wood (wood.go, components.go), and lays the repair's outline with a ring round it
// (template.go) on the wood in many places. [Surroundings.Repair] and [Surroundings.Patches] compare each patch
// with its ring (appearance.go, texture.go), [Surroundings.From] gives the same as seen from a distance
// (distance.go), [Surroundings.Overlay] shows all of it. Lengths are in pixels of the grid unless said otherwise.
package surround

import (
	"context"
	"math"
	"slices"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/fault"
	"huewright/internal/parallel"
)

// How the wood round a repair is sampled. Our own choices.
const (
	patchFull = 0.92 // share of a patch that must be wood
	ringFull  = 0.60 // the same of a ring
	// mostPlaces are laid at most, leastPlaces are needed; leastRoom is how many patches of the repair's size
	// the wood must have room for side by side.
	mostPlaces, leastPlaces = 400, 40
	leastRoom               = 5.0
	// coarse is the stride, in pixels of the grid, that places are first looked for at.
	coarse = 6
)

// Read looks at a repair and what lies round it. The error is a fault: of kind Use when an outline does not fit the
// photo, of kind Photo when the repair overlaps what is excluded, or there is too little wood to judge it by. A nil
// correction takes sRGB at its word.
func Read(
	ctx context.Context, p *imageio.Photo, repair imageio.Outline, correction *camera.Correction, opt Options,
) (*Surroundings, error) {
	if err := repair.CheckOn(p); err != nil {
		return nil, opt.in(p, err)
	}
	for _, o := range opt.outlines() {
		if err := o.CheckOn(p); err != nil {
			return nil, err
		}
	}
	if correction == nil {
		correction = sample.NoReference(p.Light())
	}
	n := imageio.CountPixels(repair.Spans(p.Width, p.Height))
	if n < sample.LeastPixels {
		return nil, opt.in(p, sample.TooFew(n))
	}
	s := newGrid(p, repair, math.Sqrt(float64(n)))
	if err := s.fill(ctx, p, correction, opt.Light); err != nil {
		return nil, err
	}
	var err error
	if s.template, err = newTemplate(ctx, s.onGrid(repair), math.Sqrt(float64(n))/s.scale); err != nil {
		return nil, err
	}
	s.at = s.template.origin
	if err := s.findWood(ctx, p, repair, &opt); err != nil {
		return nil, err
	}
	if s.near() < ringFull/2 {
		return nil, opt.in(p, fault.New(fault.Photo, "repair.no-wood-beside"))
	}
	if err := s.lay(ctx); err != nil {
		return nil, err
	}
	room := float64(s.woodPixels()) / float64(len(s.template.patch))
	if len(s.places) < leastPlaces || room < leastRoom {
		return nil, opt.in(p, fault.New(fault.Photo, "repair.little-wood", "room", room, "need", leastRoom))
	}
	return s, nil
}

// lay finds about mostPlaces places, evenly spread, where the template lies on wood and its ring on enough of it.
func (s *Surroundings) lay(ctx context.Context) error {
	all, err := s.laid(ctx, coarse)
	if err != nil {
		return err
	}
	if n := len(all); n > 0 && n < mostPlaces/2 {
		all, err = s.laid(ctx, max(1, int(coarse*math.Sqrt(float64(n)/mostPlaces))))
		if err != nil {
			return err
		}
	}
	step := max(1, float64(len(all))/mostPlaces)
	for at := 0.0; int(at) < len(all); at += step {
		s.places = append(s.places, all[int(at)])
	}
	return nil
}

// near is how much of the repair's own ring is wood.
func (s *Surroundings) near() float64 {
	n := 0
	for _, c := range s.template.ring {
		if x, y := s.at.x+c.x, s.at.y+c.y; x >= 0 && y >= 0 && x < s.wide && y < s.high && s.wood[y*s.wide+x] {
			n++
		}
	}
	return float64(n) / float64(len(s.template.ring))
}

// laid lists the places at a stride, row by row.
func (s *Surroundings) laid(ctx context.Context, stride int) (all []cell, err error) {
	m := s.template
	rows := make([][]cell, s.high/stride+1)
	if err := parallel.Ranges(ctx, len(rows), 1, func(row, _ int) {
		y := row * stride
		for x := 0; y+m.high <= s.high && x+m.wide <= s.wide; x += stride {
			if at := (cell{x, y}); s.fits(at) {
				rows[row] = append(rows[row], at)
			}
		}
	}); err != nil {
		return all, err
	}
	return slices.Concat(rows...), nil
}

// fits reports whether the template lies on wood at a place.
func (s *Surroundings) fits(at cell) bool {
	m := s.template
	return s.share(m.patch, at, 7) >= patchFull-0.05 && s.share(m.patch, at, 1) >= patchFull && s.share(m.ring, at, 1) >= ringFull
}

// share is how much of the cells is wood, of which every so many are looked at.
func (s *Surroundings) share(cells []cell, at cell, every int) float64 {
	n, of := 0, 0
	for i := 0; i < len(cells); i += every {
		of++
		if c := cells[i]; s.wood[(at.y+c.y)*s.wide+at.x+c.x] {
			n++
		}
	}
	return float64(n) / float64(of)
}
