package chart

import (
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

const (
	// Edges are looked for between these places, in pitches from a patch's centre.
	edgeFrom, edgeTo = 0.22, 0.56
	profilesReach    = 0.22
	// leastStep is how far the light must change across an edge, as the root of a sum of
	// squares of square roots, to be one.
	leastStep = 0.03
	// Edges are looked for and the lattice is laid along them in so many rounds, the first of them roughly, until it moves by less than
	// leastMove of a pitch: half a pixel of a large chart, a tenth of one of a small one.
	edgeRounds, roughRounds = 5, 2
	leastMove               = 0.003
	// leastEdges is the share of all profiles that must show one.
	leastEdges = 0.31
)

// edgeProfiles says how closely edges are looked for.
type edgeProfiles struct {
	profiles int // across each side of a patch
	points   int // along each profile, mostEdgePoints of them or fewer
}

const mostEdgePoints = 36

var roughly, closely = edgeProfiles{3, mostEdgePoints / 2}, edgeProfiles{5, mostEdgePoints}

// patchEdges are those that were seen of each patch, on the lattice as it was laid along them.
type patchEdges [chartPatches][]edge

// alongEdges moves the pose so that the edges of its patches lie where the full photo shows them, and returns these. They are nil
// where too few are to be seen.
func alongEdges(ctx context.Context, p *imageio.Photo, q pose) (pose, patchHalf, *patchEdges, error) {
	half := usualHalf
	var seen patchEdges
	for round := range edgeRounds {
		g, how := q.grid(), closely
		if round < roughRounds {
			how = roughly
		}
		var err error
		if seen, err = how.edges(ctx, p, &g); err != nil {
			return pose{}, patchHalf{}, nil, err
		}
		edges := slices.Concat(seen[:]...)
		if float64(len(edges)) < leastEdges*float64(4*chartPatches*how.profiles) {
			return q, half, nil, nil
		}
		shift, h, ok := edgeShift(edges)
		if !ok || min(h.u, h.v) < edgeFrom || max(h.u, h.v) > edgeTo {
			return q, half, nil, nil
		}
		half = h
		for _, of := range seen {
			for i := range of {
				of[i].at = shift.apply(of[i].at)
			}
		}
		moved := 0.0 // pitches
		const right, bottom = chartColumns - 1, chartRows - 1
		for i, corner := range [4]imageio.Point{{}, {X: right}, {X: right, Y: bottom}, {Y: bottom}} {
			at := shift.undone(corner)
			q[i] = g.Point(at.X, at.Y)
			moved = max(moved, math.Hypot(at.X-corner.X, at.Y-corner.Y))
		}
		if round >= roughRounds && moved < leastMove {
			break
		}
	}
	return q, half, &seen, nil
}

// edges looks along profiles from the middle of each patch outwards.
func (how edgeProfiles) edges(ctx context.Context, p *imageio.Photo, g *plane.Homography) (found patchEdges, err error) {
	err = parallel.Ranges(ctx, len(found), chartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			found[i] = how.edgesOf(p, g, i)
		}
	})
	return found, err
}

func (how edgeProfiles) edgesOf(p *imageio.Photo, g *plane.Homography, patch int) (found []edge) {
	u, v := float64(patch%chartColumns), float64(patch/chartColumns)
	for k := range how.profiles {
		aside := profilesReach * (2*float64(k)/float64(how.profiles-1) - 1)
		for _, sign := range [2]float64{-1, 1} {
			if d, ok := how.edgeAlong(p, g, imageio.Point{X: u, Y: v + aside}, imageio.Point{X: sign, Y: 0}); ok {
				found = append(found, edge{imageio.Point{X: u + sign*d, Y: v + aside}, true, u, sign})
			}
			if d, ok := how.edgeAlong(p, g, imageio.Point{X: u + aside, Y: v}, imageio.Point{X: 0, Y: sign}); ok {
				found = append(found, edge{imageio.Point{X: u + aside, Y: v + sign*d}, false, v, sign})
			}
		}
	}
	return found
}

// edgeAlong is how far from a place the light has changed half as far as it will, in pitches.
func (how edgeProfiles) edgeAlong(p *imageio.Photo, g *plane.Homography, from, way imageio.Point) (float64, bool) {
	var apart [mostEdgePoints]float64
	var inner [3]float64
	plateau := how.points / 6 // that are surely within the patch
	step := (edgeTo - edgeFrom) / float64(how.points-1)
	most := 0.0
	for k := range apart[:how.points] {
		d := edgeFrom + step*float64(k)
		at := g.Point(from.X+d*way.X, from.Y+d*way.Y)
		c, ok := roots(p, at)
		if !ok {
			return 0, false
		}
		if k < plateau {
			for m := range inner {
				inner[m] += c[m] / float64(plateau)
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
	for k := plateau; k < how.points; k++ {
		if apart[k] >= most/2 {
			before := apart[k-1]
			part := (most/2 - before) / (apart[k] - before)
			return edgeFrom + step*(float64(k)-1+part), k > plateau
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
	for k, v := range p.LinearSquare(int(x0), int(y0)) {
		w := (1 - math.Abs(x-x0-float64(k&1))) * (1 - math.Abs(y-y0-float64(k>>1)))
		c[0], c[1], c[2] = c[0]+w*v.R, c[1]+w*v.G, c[2]+w*v.B
	}
	for k := range c {
		c[k] = math.Sqrt(max(c[k], 0))
	}
	return c, true
}
