package carry

import (
	"context"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/imageio/slip"
	"huewright/internal/fault"
)

// A View is a photo and the printed slips that it shows once.
type View struct {
	Photo *imageio.Photo
	Slips []slip.Slip
}

// A Match says where the face of one photo lies in another.
type Match struct {
	Slips []slip.Design // both photos show, and it stands on; none: it was found from the picture alone, and is a proposal
	Moved []slip.Design // both photos show, but on another place of the face

	Places int     // of the face that were looked for in the picture
	Agree  float64 // the share of them that was found where it says, 0–1

	plane    plane.Homography
	planes   []plane.Homography // of each outline, where the face has relief
	untold   []bool             // outlines of which the plane is not known
	swept    []bool             // outlines of which the depth was looked for by themselves
	outlines []imageio.Outline
	from, to *picture
	in       []pair // that were found where it says
}

// Codes of what keeps a face from being found.
const (
	NotFound fault.Code = "carry.not-found"
)

const (
	// reachBySlips and reachByPicture are how far the face may be from where slips, or features, say: shares of the photo's width.
	reachBySlips   = 0.10
	reachByPicture = 0.02
	// featuresWithin is how far features may be off that agree about a face, as a share of the photo's width: faces are never quite flat.
	featuresWithin = 0.008
	// leastAgree is the share of places that must be found for a proposal from the picture alone, and leastAgreeSlips that for slips to be
	// helped by it. Our own choice, tried on drawn cabinets.
	leastAgree      = 0.22
	leastAgreeSlips = 0.15
	// mostMoved is the share of its side that a slip may be from where the others say.
	mostMoved = 0.25
	// grownFace is how much larger than its outlines a face is taken to be, as a share of its size on each side.
	grownFace = 0.08
)

// Find finds a face of one photo in another. The face is what the outlines of the first photo, in its pixels, lie on. It should be about
// flat; with slips its areas may lie before and behind one another. The error is a fault of kind Photo with the code [NotFound], or the
// context's.
func Find(ctx context.Context, from, to View, outlines []imageio.Outline) (*Match, error) {
	small, err := pictureOf(ctx, from.Photo)
	if err != nil {
		return nil, err
	}
	other, err := pictureOf(ctx, to.Photo)
	if err != nil {
		return nil, err
	}
	const levels = 5
	froms, tos := small.levels(levels), other.levels(levels)
	face := faceOf(outlines, from.Photo)
	a := newAligner(froms, tos, face)
	m := &Match{from: small, to: other, outlines: outlines}
	if slips := shared(from.Slips, to.Slips); len(slips) > 0 {
		return m, m.bySlips(ctx, a, slips, lensOf(from.Photo), lensOf(to.Photo))
	}
	return m, m.byPicture(ctx, a)
}

// faceOf is the box round outlines, a little larger, within the photo.
func faceOf(outlines []imageio.Outline, p *imageio.Photo) [4]imageio.Point {
	var all imageio.Outline
	for _, o := range outlines {
		all.More = append(append(all.More, o.Points), o.More...)
	}
	low, high := all.Bounds()
	wide, tall := grownFace*(high.X-low.X), grownFace*(high.Y-low.Y)
	low = imageio.Point{X: max(0, low.X-wide), Y: max(0, low.Y-tall)}
	high = imageio.Point{X: min(float64(p.Width), high.X+wide), Y: min(float64(p.Height), high.Y+tall)}
	return [4]imageio.Point{low, {X: high.X, Y: low.Y}, high, {X: low.X, Y: high.Y}}
}

// shared are the slips that both photos show, the largest first.
func shared(from, to []slip.Slip) (all []both) {
	for i := range from {
		if k := slices.IndexFunc(to, func(s slip.Slip) bool { return s.Design == from[i].Design }); k >= 0 {
			all = append(all, both{&from[i], &to[k]})
		}
	}
	slices.SortStableFunc(all, func(a, b both) int {
		return int(min(b.from.Pixels(), b.to.Pixels()) - min(a.from.Pixels(), a.to.Pixels()))
	})
	return all
}

// bySlips lays the face by slips, and then by what is seen beside them.
func (m *Match) bySlips(ctx context.Context, a *aligner, slips []both, from, to lens) error {
	slips, m.Moved = together(slips)
	starts := posed(ctx, slips, from, to)
	if h, ok := bySlips(slips); ok {
		if len(slips) > 1 {
			starts = []plane.Homography{h}
		} else {
			starts = append(starts, h)
		}
	}
	starts = slices.DeleteFunc(starts, func(h plane.Homography) bool { return !sensible(&h, a.face) })
	if len(starts) == 0 {
		return fault.New(fault.Photo, NotFound)
	}
	var best *laid
	for _, start := range starts {
		l, err := a.align(ctx, start, reachBySlips)
		if err != nil {
			return err
		}
		if farthest(&l.plane, slips) < mostMoved/2 && (best == nil || len(l.in) > len(best.in)) {
			best = l
		}
	}
	m.plane = starts[0]
	for _, s := range slips {
		m.Slips = append(m.Slips, s.from.Design)
	}
	if best != nil && best.agree() >= leastAgreeSlips {
		m.plane, m.in = best.plane, best.in
	}
	if best != nil {
		m.Places, m.Agree = best.tried, best.agree()
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return m.byRelief(ctx, a, slips, from, to)
}

// together are the slips that lie in both photos as the most of them do, and those that were moved.
func together(slips []both) (kept []both, moved []slip.Design) {
	for i := range slips {
		h := plane.FromCorners(slips[i].from.Corners)
		second := plane.FromCorners(slips[i].to.Corners)
		back := h.Inverted()
		h = back.Then(&second)
		var with []both
		for _, s := range slips {
			// A single slip says little of the face far from it: what lies a side away may be as much off as a side.
			away := distance(s.from.Corners[0], slips[i].from.Corners[0]) / slips[i].from.Pixels()
			if farthest(&h, []both{s}) < mostMoved*(1+0.4*away) {
				with = append(with, s)
			}
		}
		if len(with) > len(kept) {
			kept = with
		}
	}
	for _, s := range slips {
		if !slices.ContainsFunc(kept, func(k both) bool { return k.from.Design == s.from.Design }) {
			moved = append(moved, s.from.Design)
		}
	}
	return kept, moved
}

// byPicture lays the face by what is seen on it.
func (m *Match) byPicture(ctx context.Context, a *aligner) error {
	on := imageio.Outline{Points: a.face[:]}
	from, err := featuresOf(ctx, a.from[:sizes], on.Contains)
	if err != nil {
		return err
	}
	to, err := featuresOf(ctx, a.to[:sizes], func(imageio.Point) bool { return true })
	if err != nil {
		return err
	}
	wide := float64(a.to[0].wide) * a.to[0].scale
	all, err := pairs(ctx, from, to, wide)
	if err != nil {
		return err
	}
	var best *laid
	if len(all) >= leastPairs {
		for try := range uint64(3) {
			h, in := agreed(ctx, all, a.face, featuresWithin*wide, 100+try)
			if len(in) < leastPairs {
				continue
			}
			l, err := a.align(ctx, h, reachByPicture)
			if err != nil {
				return err
			}
			if best == nil || len(l.in) > len(best.in) {
				best = l
			}
		}
	}
	if best == nil || len(best.in) < leastPairs || best.agree() < leastAgree {
		return fault.New(fault.Photo, NotFound)
	}
	m.plane, m.in, m.Places, m.Agree = best.plane, best.in, best.tried, best.agree()
	return ctx.Err()
}

// Proposed reports whether a match stands on the picture alone.
func (m *Match) Proposed() bool { return len(m.Slips) == 0 }

// Outline is where the second photo shows the n-th of the outlines that were given. It may leave the photo.
func (m *Match) Outline(n int) imageio.Outline {
	by := m.planeOf(n)
	return m.outlines[n].Mapped(func(p imageio.Point) imageio.Point { return by.Point(p.X, p.Y) })
}

// planeOf is the homography by which an outline is carried.
func (m *Match) planeOf(n int) *plane.Homography {
	if m.planes == nil {
		return &m.plane
	}
	return &m.planes[n]
}
