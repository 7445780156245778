package slip

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/fault"
)

const (
	// climbFrom and climbTo are the first and the last step by which given corners are moved, as shares of the length of a side: a
	// finger is a few millimetres off. Our own choice.
	climbFrom, climbTo = 0.10, 0.012
	// climbReach is how far a corner may be moved in all, as a share of the shortest side: what is marked stays what was meant.
	climbReach = 0.14
	// climbPasses is how often the corners are gone round at most with steps of one length.
	climbPasses = 12
)

// At reads the slip whose frame has about these outer corners, which may begin anywhere and go round either way. Where the frame can be
// seen the slip is fitted to it; where glare or a finger hides a part of it, it lies where it was said to. The error is that of the
// context, or a fault of kind Photo with the code slip.not-there where no slip can be read between the corners.
func At(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point) (Slip, error) {
	corners = clockwise(corners)
	s := scene{p}
	f := faceOf(corners, [4]float64{})
	middle := plane.Centre(corners)
	none := fault.New(fault.Photo, "slip.not-there", "x", int(math.Round(middle.X)), "y", int(math.Round(middle.Y)))
	if !f.convex() {
		return Slip{}, none
	}
	if found := s.slip(corners); found != nil {
		return *found, ctx.Err()
	}
	near, err := s.climb(ctx, corners)
	if err != nil {
		return Slip{}, err
	}
	if found := s.slip(near); found != nil {
		return *found, ctx.Err()
	}
	if found := s.read(f); found != nil {
		return *found, ctx.Err()
	}
	return Slip{}, none
}

// clockwise are corners in the order in which they lie round their middle, as a photo shows it.
func clockwise(corners [4]imageio.Point) [4]imageio.Point {
	middle := plane.Centre(corners)
	angle := func(p imageio.Point) float64 { return math.Atan2(p.Y-middle.Y, p.X-middle.X) }
	slices.SortStableFunc(corners[:], func(a, b imageio.Point) int { return cmp.Compare(angle(a), angle(b)) })
	return corners
}

// climbed are the corners that are moved together: all, those of a side, one.
var climbed = [][]int{{0, 1, 2, 3}, {0, 1}, {1, 2}, {2, 3}, {3, 0}, {0}, {1}, {2}, {3}}

// climb moves corners to where more of the frame is dark with paper beside it, in smaller and smaller steps. The
// error is that of the context.
func (s scene) climb(ctx context.Context, given [4]imageio.Point) ([4]imageio.Point, error) {
	corners := given
	f := faceOf(corners, [4]float64{})
	shortest, _ := f.sides()
	best := s.contrast(corners)
	for step := climbFrom; step > climbTo; step /= 2 {
		for pass, moved := 0, true; moved && pass < climbPasses; pass++ {
			if err := ctx.Err(); err != nil {
				return corners, err
			}
			moved = false
			for _, which := range climbed {
				for turn := range 8 {
					sin, cos := math.Sincos(float64(turn) * math.Pi / 4)
					to, far := corners, 0.0
					for _, i := range which {
						to[i].X, to[i].Y = to[i].X+step*shortest*cos, to[i].Y+step*shortest*sin
						far = max(far, distance(to[i], given[i]))
					}
					if far > climbReach*shortest {
						continue
					}
					if c := s.contrast(to); c > best {
						corners, best, moved = to, c, true
					}
				}
			}
		}
	}
	return corners, nil
}

// contrast is how much lighter the paper is beside a frame than its ink, the mean of the logarithms of places round it, each as far as
// framePlaces may ask for: a dark wood beside a pale one counts no more than ink on paper.
func (s scene) contrast(corners [4]imageio.Point) (sum float64) {
	f := faceOf(corners, [4]float64{})
	if !f.convex() {
		return math.Inf(-1)
	}
	most := math.Log(2 * frameContrast)
	f.around(func(at, beside imageio.Point) bool {
		ink, ok := s.luminance(at)
		white, okToo := s.luminance(beside)
		if ok && okToo {
			sum += max(-most, min(most, math.Log(max(white, 1e-4)/max(ink, 1e-4))))
		}
		return true
	})
	return sum
}

// read is the slip on a face that is taken as it is; nil where its cells and patches are no slip's.
func (s scene) read(f face) *Slip {
	word, ok := s.ring(&f)
	if !ok {
		return nil
	}
	design, quarters, wrong, ok := decode(word)
	if !ok {
		return nil
	}
	f = f.turned(quarters)
	if !s.patchesFit(&f, design) {
		return nil
	}
	return &Slip{Design: design, Corners: f.corners, Wrong: wrong, face: f}
}
