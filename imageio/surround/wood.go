package surround

import (
	"context"

	"huewright/imageio"
	"huewright/internal/fault"
)

// findWood marks what of the grid is wood to judge by: what lies in the wood's outline if there is one, otherwise
// what is connected with the repair and like the wood next to it.
func (s *Surroundings) findWood(ctx context.Context, p *imageio.Photo, repair imageio.Outline, opt *Options) error {
	own := s.inside(s.onGrid(repair))
	s.cut(s.onGrid(repair), true)
	for _, o := range opt.Exclude {
		for i, in := range s.inside(s.onGrid(o)) {
			if in && own[i] {
				return opt.in(p, fault.New(fault.Photo, "repair.excluded"))
			}
		}
		s.cut(s.onGrid(o), false)
	}
	if s.inRepair() < 0.3*float64(len(s.template.patch)) {
		return opt.in(p, fault.New(fault.Photo, "repair.all-glare"))
	}
	before := s.woodPixels()
	if opt.Wood != nil {
		s.only(s.onGrid(*opt.Wood))
		if s.woodPixels() == 0 {
			return opt.in(p, fault.New(fault.Photo, "repair.wood-elsewhere"))
		}
		return nil
	}
	if err := s.keepOwnWood(ctx); err != nil {
		return err
	}
	if before > 0 {
		s.Left = 1 - float64(s.woodPixels())/float64(before)
	}
	return nil
}

// cut takes an outline, and if asked for two pixels beyond it, out of the wood.
func (s *Surroundings) cut(o imageio.Outline, widen bool) {
	in := s.inside(o)
	const beyond = 2
	for i, is := range in {
		if !is {
			continue
		}
		s.wood[i] = false
		if !widen {
			continue
		}
		x, y := i%s.wide, i/s.wide
		for v := max(0, y-beyond); v <= min(s.high-1, y+beyond); v++ {
			for u := max(0, x-beyond); u <= min(s.wide-1, x+beyond); u++ {
				s.wood[v*s.wide+u] = false
			}
		}
	}
}

// only keeps the wood within an outline.
func (s *Surroundings) only(o imageio.Outline) {
	for i, is := range s.inside(o) {
		s.wood[i] = s.wood[i] && is
	}
}

// inRepair is how many pixels of the repair can be read.
func (s *Surroundings) inRepair() (n float64) {
	for _, c := range s.template.patch {
		if x, y := s.at.x+c.x, s.at.y+c.y; x >= 0 && y >= 0 && x < s.wide && y < s.high && !s.clipped(y*s.wide+x) {
			n++
		}
	}
	return n
}

// clipped reports whether a pixel is too bright to be read.
func (s *Surroundings) clipped(i int) bool { return s.l[i] > 99 }
