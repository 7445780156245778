package carry

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

const (
	patchHalf  = 7    // pixels of a level that a patch reaches to each side of its place
	leastAlike = 0.55 // correlation of two patches that show the same
	places     = 220  // of the face that are compared, about
)

// An aligner lays a face of one photo over another.
type aligner struct {
	from, to []*picture // levels
	face     [4]imageio.Point
	at       [][]imageio.Point // places of the face that are compared, by level, pixels of the first photo
}

func newAligner(from, to []*picture, face [4]imageio.Point) *aligner {
	a := &aligner{from: from, to: to, face: face, at: make([][]imageio.Point, len(from))}
	on := imageio.Outline{Points: face[:]}
	low, high := on.Bounds()
	for k, level := range from {
		photo := float64(level.wide) * level.scale * float64(level.high) * level.scale
		all := level.soft().gradient().corners(int(places * max(1, photo/((high.X-low.X)*(high.Y-low.Y)))))
		for _, c := range all {
			at := imageio.Point{X: (c.X + 0.5) * level.scale, Y: (c.Y + 0.5) * level.scale}
			if on.Contains(at) {
				a.at[k] = append(a.at[k], at)
			}
		}
	}
	return a
}

// A patch is the surroundings of a place, without their mean and of length 1.
type patch [(2*patchHalf + 1) * (2*patchHalf + 1)]float32

// patchAt is the patch round a place; false at the photo's edge and where there is nothing to see.
func (p *picture) patchAt(at imageio.Point, out *patch) bool {
	x, y, sum := at.X/p.scale, at.Y/p.scale, float32(0)
	for i := range out {
		v, ok := p.at(x+float64(i%(2*patchHalf+1)-patchHalf), y+float64(i/(2*patchHalf+1)-patchHalf))
		if !ok {
			return false
		}
		out[i] = v
		sum += v
	}
	mean, long := sum/float32(len(out)), 0.0
	for i := range out {
		out[i] -= mean
		long += float64(out[i]) * float64(out[i])
	}
	long = math.Sqrt(long)
	if long < leastContrast {
		return false
	}
	for i := range out {
		out[i] /= float32(long)
	}
	return true
}

// leastContrast is the least length of a patch in which there is something to see: 0.02 of luminance a pixel. Our own choice.
const leastContrast = 0.02 * (2*patchHalf + 1)

// seek finds the patch round a place of the first photo in the second, near where a homography says, and how alike the two are.
func seek(from, to *picture, h *plane.Homography, at imageio.Point, reach int) (found imageio.Point, alike float64, ok bool) {
	var want patch
	if !from.patchAt(at, &want) {
		return found, 0, false
	}
	const wide = 2*patchHalf + 1
	var seen [wide * wide]imageio.Point
	for i := range seen {
		p := h.Point(at.X+from.scale*float64(i%wide-patchHalf), at.Y+from.scale*float64(i/wide-patchHalf))
		seen[i] = imageio.Point{X: p.X / to.scale, Y: p.Y / to.scale}
	}
	n := 2*reach + 1
	scores := make([]float64, n*n)
	best := -1
	for s := range scores {
		dx, dy := float64(s%n-reach), float64(s/n-reach)
		var sum, squares, both float32
		beside := false
		for i, p := range seen {
			v, on := to.at(p.X+dx, p.Y+dy)
			if !on {
				beside = true
				break
			}
			sum, squares, both = sum+v, squares+v*v, both+v*want[i]
		}
		scores[s] = -1
		if spread := float64(squares) - float64(sum)*float64(sum)/(wide*wide); !beside && spread > leastContrast*leastContrast/4 {
			scores[s] = float64(both) / math.Sqrt(spread)
		}
		if best < 0 || scores[s] > scores[best] {
			best = s
		}
	}
	bx, by := best%n, best/n
	if scores[best] < leastAlike || bx == 0 || by == 0 || bx == n-1 || by == n-1 {
		return found, scores[best], false
	}
	dx := float64(bx-reach) + peak(scores[best-1], scores[best], scores[best+1])
	dy := float64(by-reach) + peak(scores[best-n], scores[best], scores[best+n])
	middle := h.Point(at.X, at.Y)
	return imageio.Point{X: middle.X + dx*to.scale, Y: middle.Y + dy*to.scale}, scores[best], true
}

// peak is where a parabola through three values is highest, from the middle one, −½ to ½.
func peak(before, at, after float64) float64 {
	d := before - 2*at + after
	if d >= 0 {
		return 0
	}
	return min(max((before-after)/2/d, -0.5), 0.5)
}

// seekAll is seek for all places of a level. tried is how many of them lie on the second photo and have something to see.
func (a *aligner) seekAll(ctx context.Context, level int, h *plane.Homography, reach int) (found []pair, tried int, err error) {
	from, to := a.from[level], a.to[level]
	wide, high := float64(to.wide)*to.scale, float64(to.high)*to.scale
	type answer struct {
		pair
		tried, ok bool
	}
	all := make([]answer, len(a.at[level]))
	err = parallel.For(ctx, len(all), func(i int) {
		at := a.at[level][i]
		on := h.Point(at.X, at.Y)
		margin := float64(patchHalf+1) * to.scale
		if h.Depth(at.X, at.Y) <= 0 || on.X < margin || on.Y < margin || on.X > wide-margin || on.Y > high-margin {
			return
		}
		place, alike, ok := seek(from, to, h, at, reach)
		all[i] = answer{pair{at, place, 1 - alike}, true, ok}
	})
	for _, f := range all {
		if f.tried {
			tried++
		}
		if f.ok {
			found = append(found, f.pair)
		}
	}
	surestFirst(found)
	return found, tried, err
}

// A laid face is a homography by which the two photos were laid over one another.
type laid struct {
	plane plane.Homography
	in    []pair // that agree
	tried int    // places that were looked for
	off   float64
}

func (l *laid) agree() float64 { return float64(len(l.in)) / float64(max(1, l.tried)) }

// align moves a homography until the face of the first photo lies on that of the second. reach is how far it may be off, as a share of
// the second photo's width.
func (a *aligner) align(ctx context.Context, start plane.Homography, reach float64) (*laid, error) {
	best := &laid{plane: start}
	wide := float64(a.to[0].wide)
	for _, stage := range []struct {
		level, reach int
		within       float64 // pixels of the level
	}{{4, 0, 2.5}, {2, 5, 2.5}, {0, 5, 2}, {0, 3, 1.2}} {
		if stage.reach == 0 {
			stage.reach = max(3, int(math.Ceil(reach*wide/4)))
		}
		scale := a.to[stage.level].scale
		found, tried, err := a.seekAll(ctx, stage.level, &best.plane, stage.reach)
		if err != nil {
			return nil, err
		}
		if len(found) < leastPairs {
			continue
		}
		h, in := agreed(ctx, found, a.face, stage.within*scale, uint64(stage.level))
		if len(in) < leastPairs {
			continue
		}
		best = &laid{plane: h, in: in, tried: tried}
	}
	sum := 0.0
	for i := range best.in {
		d := off(&best.plane, &best.in[i])
		sum += d * d
	}
	best.off = math.Sqrt(sum / float64(max(1, len(best.in))))
	return best, ctx.Err()
}

// leastPairs that agree are no accident.
const leastPairs = 8
