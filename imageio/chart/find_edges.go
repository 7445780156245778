package chart

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/internal/parallel"
)

// patchHalf is half a patch's side along the rows and along the columns, in pitches: ½ on a
// card without gaps, 0.37 on the smaller chart.
type patchHalf struct{ u, v float64 }

const (
	// Edges are looked for between these places, in pitches from a patch's centre.
	edgeFrom, edgeTo = 0.22, 0.56
	edgePoints       = 36 // along each profile
	edgeProfiles     = 5  // across each side
	profilesReach    = 0.22
	// leastStep is how far the light must change across an edge, as the root of a sum of
	// squares of square roots, to be one.
	leastStep = 0.03
	// edgeRounds of looking for edges and laying the lattice along them.
	edgeRounds = 4
	// leastEdges is how many of the 480 profiles must show one.
	leastEdges = 150
)

// An edge is a place where a patch was seen to end, on the lattice as it lay.
type edge struct {
	at     imageio.Point
	upward bool    // an end of a row: it has a column's u
	middle float64 // of the patch, along u or along v
	sign   float64 // −1 for the left or upper end
}

// alongEdges lays the pose along the edges of its patches in the full photo. It is not ok
// where too few are to be seen.
func alongEdges(ctx context.Context, p *imageio.Photo, q pose) (pose, patchHalf, bool, error) {
	half := patchHalf{0.44, 0.44}
	for range edgeRounds {
		g := q.grid()
		edges, err := edges(ctx, p, &g)
		if err != nil {
			return pose{}, patchHalf{}, false, err
		}
		if len(edges) < leastEdges {
			return q, half, false, nil
		}
		shift, h, ok := edgeShift(edges)
		if !ok || min(h.u, h.v) < edgeFrom || max(h.u, h.v) > edgeTo {
			return q, half, false, nil
		}
		half = h
		for i, corner := range [4]imageio.Point{{X: 0, Y: 0}, {X: blob.ChartColumns - 1, Y: 0}, {X: blob.ChartColumns - 1, Y: blob.ChartRows - 1}, {X: 0, Y: blob.ChartRows - 1}} {
			at := shift.undone(corner)
			q[i] = g.Point(at.X, at.Y)
		}
	}
	return q, half, true, nil
}

// edges looks along profiles from the middle of each patch outwards.
func edges(ctx context.Context, p *imageio.Photo, g *gridPlane) ([]edge, error) {
	var found [blob.ChartColumns * blob.ChartRows][]edge
	if err := parallel.Ranges(ctx, len(found), blob.ChartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			found[i] = edgesOf(p, g, i)
		}
	}); err != nil {
		return nil, err
	}
	return slices.Concat(found[:]...), nil
}

func edgesOf(p *imageio.Photo, g *gridPlane, patch int) (found []edge) {
	u, v := float64(patch%blob.ChartColumns), float64(patch/blob.ChartColumns)
	for k := range edgeProfiles {
		aside := profilesReach * (2*float64(k)/(edgeProfiles-1) - 1)
		for _, sign := range [2]float64{-1, 1} {
			if d, ok := edgeAlong(p, g, imageio.Point{X: u, Y: v + aside}, imageio.Point{X: sign, Y: 0}); ok {
				found = append(found, edge{imageio.Point{X: u + sign*d, Y: v + aside}, true, u, sign})
			}
			if d, ok := edgeAlong(p, g, imageio.Point{X: u + aside, Y: v}, imageio.Point{X: 0, Y: sign}); ok {
				found = append(found, edge{imageio.Point{X: u + aside, Y: v + sign*d}, false, v, sign})
			}
		}
	}
	return found
}

// edgeAlong is how far from a place the light has changed half as far as it will, in pitches.
func edgeAlong(p *imageio.Photo, g *gridPlane, from, way imageio.Point) (float64, bool) {
	var apart [edgePoints]float64
	var inner [3]float64
	const plateau = edgePoints / 6 // that are surely within the patch
	most := 0.0
	for k := range apart {
		d := edgeFrom + (edgeTo-edgeFrom)*float64(k)/(edgePoints-1)
		at := g.Point(from.X+d*way.X, from.Y+d*way.Y)
		c, ok := roots(p, at)
		if !ok {
			return 0, false
		}
		if k < plateau {
			for m := range inner {
				inner[m] += c[m] / plateau
			}
			continue
		}
		r, g, b := c[0]-inner[0], c[1]-inner[1], c[2]-inner[2]
		apart[k] = math.Sqrt(r*r + g*g + b*b)
		most = max(most, apart[k])
	}
	if most < leastStep {
		return 0, false
	}
	for k := plateau; k < edgePoints; k++ {
		if apart[k] >= most/2 {
			before := apart[k-1]
			part := (most/2 - before) / (apart[k] - before)
			return edgeFrom + (edgeTo-edgeFrom)*(float64(k)-1+part)/(edgePoints-1), k > plateau
		}
	}
	return 0, false
}

// roots is the square root of the light at a place, between pixels by straight lines.
func roots(p *imageio.Photo, at imageio.Point) (c [3]float64, ok bool) {
	x, y := at.X-0.5, at.Y-0.5
	x0, y0 := math.Floor(x), math.Floor(y)
	if !(x0 >= 0 && y0 >= 0 && x0+1 < float64(p.Width) && y0+1 < float64(p.Height)) {
		return c, false
	}
	for k := range 4 {
		dx, dy := k&1, k>>1
		w := (1 - math.Abs(x-x0-float64(dx))) * (1 - math.Abs(y-y0-float64(dy)))
		v := p.Linear(int(x0)+dx, int(y0)+dy)
		c[0], c[1], c[2] = c[0]+w*v.R, c[1]+w*v.G, c[2]+w*v.B
	}
	for k := range c {
		c[k] = math.Sqrt(max(c[k], 0))
	}
	return c, true
}

// A gridShift moves places on the lattice a little: the first-order homography
// u + s0 + s1·u + s2·v + u(s6·u + s7·v), v + s3 + s4·u + s5·v + v(s6·u + s7·v).
type gridShift [8]float64

func (s *gridShift) apply(p imageio.Point) imageio.Point {
	bend := s[6]*p.X + s[7]*p.Y
	return imageio.Point{
		X: p.X + s[0] + s[1]*p.X + s[2]*p.Y + p.X*bend,
		Y: p.Y + s[3] + s[4]*p.X + s[5]*p.Y + p.Y*bend,
	}
}

// undone is the place that apply takes to p.
func (s *gridShift) undone(p imageio.Point) imageio.Point {
	from := p
	for range 6 {
		to := s.apply(from)
		from = imageio.Point{X: from.X + p.X - to.X, Y: from.Y + p.Y - to.Y}
	}
	return from
}

// edgeShift finds the shift and the patches' size that bring the edges where a chart has
// them. Edges far off, of specks, letters and shadows, lose their say round by round.
func edgeShift(edges []edge) (gridShift, patchHalf, bool) {
	const rounds, soft = 8, 0.02
	var x [10]float64
	weight := make([]float64, len(edges))
	for i := range weight {
		weight[i] = 1
	}
	for range rounds {
		a, b := mat.NewDense(len(edges)+len(x), len(x), nil), mat.NewVecDense(len(edges)+len(x), nil)
		for i, e := range edges {
			row := a.RawRowView(i)
			u, v := e.at.X, e.at.Y
			w := weight[i]
			if e.upward {
				row[0], row[1], row[2], row[6], row[7], row[8] = w, w*u, w*v, w*u*u, w*u*v, -w*e.sign
				b.SetVec(i, w*(e.middle-u))
			} else {
				row[3], row[4], row[5], row[6], row[7], row[9] = w, w*u, w*v, w*u*v, w*v*v, -w*e.sign
				b.SetVec(i, w*(e.middle-v))
			}
		}
		for k := range x {
			a.Set(len(edges)+k, k, 1e-4) // keeps what no edge tells about as it is
		}
		got, ok := leastSquares(a, b)
		if !ok {
			return gridShift{}, patchHalf{}, false
		}
		copy(x[:], got)
		s := gridShift(x[:8])
		for i, e := range edges {
			at := s.apply(e.at)
			off := at.X - e.middle - e.sign*x[8]
			if !e.upward {
				off = at.Y - e.middle - e.sign*x[9]
			}
			weight[i] = 1 / (1 + off*off/(soft*soft))
		}
	}
	return gridShift(x[:8]), patchHalf{x[8], x[9]}, true
}
