package carry

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A feature is a corner of the picture and what it looks like.
type feature struct {
	at   imageio.Point // pixels of the photo
	size float64       // pixels of the photo to one of the level it was found in
	like [bins]float32 // of length 1
}

const (
	sizes    = 4 // levels that corners are looked for in
	side     = 4 // cells of a feature's surroundings, each way
	cellSide = 5 // pixels of the level
	turns    = 8 // directions of a gradient that are told apart
	bins     = side * side * turns

	mostCorners = 900 // of the largest level; of each next one half
	columns     = 12  // of the lattice that corners are spread over
	rows        = 9
)

// featuresOf finds the corners of a photo, at four sizes, and describes each by the directions of the gradients round it.
//
// Source: Shi and Tomasi (1994), doi:10.1109/CVPR.1994.323794, for the corners; Lowe (2004), Distinctive image
// features from scale-invariant keypoints, doi:10.1023/B:VISI.0000029664.99615.94, for the histograms. They are not turned to a main
// direction: photos are upright.
func featuresOf(ctx context.Context, levels []*picture, keep func(imageio.Point) bool) ([]feature, error) {
	found := make([][]feature, len(levels))
	err := parallel.For(ctx, len(levels), func(k int) {
		level := levels[k]
		g := level.soft().gradient()
		for _, c := range g.corners(mostCorners >> k) {
			at := imageio.Point{X: (c.X + 0.5) * level.scale, Y: (c.Y + 0.5) * level.scale}
			if f := (feature{at: at, size: level.scale}); keep(at) && g.describe(int(c.X), int(c.Y), &f.like) {
				found[k] = append(found[k], f)
			}
		}
	})
	return slices.Concat(found...), err
}

// A slope is the gradient of a picture.
type slope struct {
	wide, high int
	dx, dy     []float32
}

func (p *picture) gradient() *slope {
	g := &slope{p.wide, p.high, make([]float32, len(p.of)), make([]float32, len(p.of))}
	for y := 1; y < p.high-1; y++ {
		for x := 1; x < p.wide-1; x++ {
			i := y*p.wide + x
			g.dx[i], g.dy[i] = (p.of[i+1]-p.of[i-1])/2, (p.of[i+p.wide]-p.of[i-p.wide])/2
		}
	}
	return g
}

// corners are the pixels round which the gradient has two directions, strongest in their surroundings, spread over the picture.
func (g *slope) corners(most int) []imageio.Point {
	strength := g.strength()
	type corner struct {
		at imageio.Point
		by float32
	}
	var cells [rows][columns][]corner
	const margin = side*cellSide/2 + 2
	for y := margin; y < g.high-margin; y++ {
		for x := margin; x < g.wide-margin; x++ {
			i := y*g.wide + x
			s, peak := strength[i], true
			for dy := -2; dy <= 2 && peak; dy++ {
				for dx := -2; dx <= 2; dx++ {
					if strength[i+dy*g.wide+dx] > s {
						peak = false
						break
					}
				}
			}
			if peak && s > 1e-5 {
				cell := &cells[y*rows/g.high][x*columns/g.wide]
				*cell = append(*cell, corner{imageio.Point{X: float64(x), Y: float64(y)}, s})
			}
		}
	}
	var out []imageio.Point
	for r := range cells {
		for c := range cells[r] {
			all := cells[r][c]
			slices.SortStableFunc(all, func(a, b corner) int { return cmp.Compare(b.by, a.by) })
			for _, one := range all[:min(len(all), 1+most/(rows*columns))] {
				out = append(out, one.at)
			}
		}
	}
	return out
}

// strength is the smaller eigenvalue of the gradient's second moments over 5 × 5 pixels.
func (g *slope) strength() []float32 {
	const r = 2
	var sums [3][]float32
	for k := range sums {
		sums[k] = make([]float32, len(g.dx))
	}
	for i := range g.dx {
		sums[0][i], sums[1][i], sums[2][i] = g.dx[i]*g.dx[i], g.dx[i]*g.dy[i], g.dy[i]*g.dy[i]
	}
	across := make([]float32, len(g.dx))
	for _, s := range sums {
		boxed(s, across, g.wide, g.high, r)
	}
	out := across
	for i := range out {
		a, b, c := sums[0][i], sums[1][i], sums[2][i]
		d := (a - c) / 2
		out[i] = (a+c)/2 - float32(math.Sqrt(float64(d*d+b*b)))
	}
	return out
}

// boxed puts in the place of each pixel the mean of the square round it that reaches so far.
func boxed(s, work []float32, wide, high, reach int) {
	n := float32((2*reach + 1) * (2*reach + 1))
	for y := range high {
		row := s[y*wide : (y+1)*wide]
		for x := reach; x < wide-reach; x++ {
			sum := float32(0)
			for k := -reach; k <= reach; k++ {
				sum += row[x+k]
			}
			work[y*wide+x] = sum
		}
	}
	for y := range high {
		for x := range wide {
			sum := float32(0)
			if y >= reach && y < high-reach && x >= reach && x < wide-reach {
				for k := -reach; k <= reach; k++ {
					sum += work[(y+k)*wide+x]
				}
			}
			s[y*wide+x] = sum / n
		}
	}
}

// describe fills in what the surroundings of a pixel look like; false where there is nothing to see.
func (g *slope) describe(x, y int, like *[bins]float32) bool {
	const half = side * cellSide / 2
	*like = [bins]float32{}
	for dy := -half; dy < half; dy++ {
		for dx := -half; dx < half; dx++ {
			i := (y+dy)*g.wide + x + dx
			gx, gy := float64(g.dx[i]), float64(g.dy[i])
			long := math.Sqrt(gx*gx + gy*gy)
			if long == 0 {
				continue
			}
			weight := long * math.Exp(-float64(dx*dx+dy*dy)/(2*half*half))
			turn := (math.Atan2(gy, gx)/(2*math.Pi) + 1) * turns
			t := int(turn)
			share := turn - float64(t)
			u, v := (float64(dx)+0.5)/cellSide+side/2-0.5, (float64(dy)+0.5)/cellSide+side/2-0.5
			cu, cv := int(math.Floor(u)), int(math.Floor(v))
			fu, fv := u-float64(cu), v-float64(cv)
			for _, c := range [4]struct {
				i, j int
				w    float64
			}{{cu, cv, (1 - fu) * (1 - fv)}, {cu + 1, cv, fu * (1 - fv)}, {cu, cv + 1, (1 - fu) * fv}, {cu + 1, cv + 1, fu * fv}} {
				if c.i < 0 || c.j < 0 || c.i >= side || c.j >= side {
					continue
				}
				cell := turns * (c.j*side + c.i)
				like[cell+t%turns] += float32(weight * c.w * (1 - share))
				like[cell+(t+1)%turns] += float32(weight * c.w * share)
			}
		}
	}
	if !unit(like) {
		return false
	}
	for i, v := range like { // one strong edge does not decide alone
		like[i] = min(v, 0.2)
	}
	return unit(like)
}

// unit makes a vector one of length 1; false where it has none.
func unit(v *[bins]float32) bool {
	sum := 0.0
	for _, x := range v {
		sum += float64(x) * float64(x)
	}
	if sum == 0 {
		return false
	}
	by := float32(1 / math.Sqrt(sum))
	for i := range v {
		v[i] *= by
	}
	return true
}

// A pair is a place of one photo and one of another that look alike.
type pair struct {
	from, to imageio.Point // pixels of the photos
	doubt    float64       // 0 for none at all, 1 where another place looks as much like it
}

const (
	mostDoubt = 0.93 // beyond which a pair is none
	elsewhere = 0.01 // share of the photo's width that another place is away
)

// pairs are for each feature those of another photo that look most like it, the surest first.
func pairs(ctx context.Context, from, to []feature, wide float64) ([]pair, error) {
	found := make([]*pair, len(from))
	err := parallel.For(ctx, len(from), func(i int) {
		best, next, at := float32(-1), float32(-1), -1
		dots := make([]float32, len(to))
		for k := range to {
			dots[k] = dot(&from[i].like, &to[k].like)
			if dots[k] > best {
				best, at = dots[k], k
			}
		}
		if at < 0 {
			return
		}
		for k := range to {
			away := math.Hypot(to[k].at.X-to[at].at.X, to[k].at.Y-to[at].at.Y)
			if dots[k] > next && away > elsewhere*wide {
				next = dots[k]
			}
		}
		doubt := math.Sqrt(max(0, float64(1-best)) / max(1e-9, float64(1-next)))
		if doubt < mostDoubt {
			found[i] = &pair{from[i].at, to[at].at, doubt}
		}
	})
	var all []pair
	for _, p := range found {
		if p != nil {
			all = append(all, *p)
		}
	}
	surestFirst(all)
	return all, err
}

func surestFirst(all []pair) {
	slices.SortStableFunc(all, func(a, b pair) int { return cmp.Compare(a.doubt, b.doubt) })
}

func dot(a, b *[bins]float32) (sum float32) {
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
