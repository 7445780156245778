package surround

import (
	"context"

	"huewright/internal/parallel"
)

// A gradientGrid is Surroundings with the gradient of L* at each pixel.
type gradientGrid struct {
	*Surroundings
	gx, gy []float32
}

// gradients works out the gradient by Scharr's operator, whose directions are true to a degree.
func (s *Surroundings) gradients(ctx context.Context) (*gradientGrid, error) {
	e := &gradientGrid{s, make([]float32, len(s.l)), make([]float32, len(s.l))}
	if err := parallel.Ranges(ctx, s.high, 16, func(from, to int) {
		for y := max(1, from); y < min(s.high-1, to); y++ {
			for x := 1; x < s.wide-1; x++ {
				i := y*s.wide + x
				up, mid, down := s.l[i-s.wide-1:i-s.wide+2], s.l[i-1:i+2], s.l[i+s.wide-1:i+s.wide+2]
				e.gx[i] = (3*(up[2]-up[0]) + 10*(mid[2]-mid[0]) + 3*(down[2]-down[0])) / 32
				e.gy[i] = (3*(down[0]-up[0]) + 10*(down[1]-up[1]) + 3*(down[2]-up[2])) / 32
			}
		}
	}); err != nil {
		return nil, err
	}
	return e, nil
}
