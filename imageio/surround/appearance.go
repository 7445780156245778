package surround

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// Repair is the repair beside the wood next to it.
func (s *Surroundings) Repair(ctx context.Context) (colour.PatchAndRing, error) {
	g, err := s.gradients(ctx)
	if err != nil {
		return colour.PatchAndRing{}, err
	}
	return g.beside(s.at, false), nil
}

// Patches are equal patches of the wood, each beside the wood next to it.
func (s *Surroundings) Patches(ctx context.Context) ([]colour.PatchAndRing, error) {
	all := make([]colour.PatchAndRing, len(s.places))
	g, err := s.gradients(ctx)
	if err != nil {
		return nil, err
	}
	if err := parallel.Ranges(ctx, len(all), 8, func(from, to int) {
		for i := from; i < to; i++ {
			all[i] = g.beside(s.places[i], true)
		}
	}); err != nil {
		return nil, err
	}
	return all, nil
}

// Size is the root of the repair's area, in photo pixels.
func (s *Surroundings) Size() float64 { return s.scale * math.Sqrt(float64(len(s.template.patch))) }

// Roundness is 1 for a round repair, π/4 for a square one, and less for one whose ends run out.
func Roundness(o imageio.Outline) float64 {
	length := 0.0
	for i, p := range o.Points {
		q := o.Points[(i+1)%len(o.Points)]
		length += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	return 4 * math.Pi * o.Area() / (length * length)
}

// beside compares the patch with the ring where the template lies at a place. Only wood counts in the ring, and
// in the patch too if it is one of the wood's; of a repair all that is in the picture counts.
func (e *gradientGrid) beside(at cell, wood bool) colour.PatchAndRing {
	m := e.template
	middle := e.inPhoto((at.y+m.high/2)*e.wide + at.x + m.wide/2)
	return colour.PatchAndRing{
		X: middle.X, Y: middle.Y,
		Patch: e.texture(m.patch, at, wood, true), Ring: e.texture(m.ring, at, true, false), Line: e.line(at, wood),
	}
}
