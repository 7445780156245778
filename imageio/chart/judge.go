package chart

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

const (
	mostMisfit = 25.0
	// leastShown is how many patches must show their colours before any name is given to
	// what the others suffer from.
	leastShown = 10
	// mayBurn is the L* from which a clipped patch is one that was lit too strongly, not one
	// that something white or shining lies on.
	mayBurn = 55.0
	// Charts have gaps of a seventh of a pitch or more between their patches. A card whose
	// patches all but touch must fit as well as a chart does in a good photo, or it is
	// one that only resembles it.
	touching, fitsTouching = 0.475, 3.0
	// leastFrame is how many of the 20 profiles of a patch must show its edge where nothing lies over it.
	leastFrame = 12
	// clearlyBetter is how many times worse the next way round must fit.
	clearlyBetter = 1.5
)

// judge reads a pose in the full photo, in each of the four ways its places may be meant, and returns the best
// with its fault. It is not ok when the colours are no chart's whichever way.
func judge(ctx context.Context, p *imageio.Photo, q pose, opt Options) (finding, bool, error) {
	laid, half, edges, err := alongEdges(ctx, p, q)
	if err != nil {
		return finding{}, false, err
	}
	sharp := edges != nil
	if !sharp {
		half = usualHalf
		g := laid.grid()
		of, err := closely.edges(ctx, p, &g)
		if err != nil {
			return finding{}, false, err
		}
		edges = &of
	}
	seen, err := readPose(ctx, p, laid, half, edges)
	if err != nil {
		return finding{}, false, err
	}
	var found [4]finding
	if err := parallel.Ranges(ctx, len(found), 1, func(way, _ int) { found[way] = seen.oneWay(way, opt) }); err != nil {
		return finding{}, false, err
	}
	slices.SortStableFunc(found[:], func(a, b finding) int { return cmp.Compare(a.misfit, b.misfit) })
	best, next := found[0], found[1]
	best.next, best.other = next.misfit, next.corners
	if best.shown < leastShown || best.misfit > perhapsChart+float64(chartPatches-best.shown) {
		return best, false, nil
	}
	best.lookInTwoLights()
	best.flaw = best.verdict(sharp)
	return best, true, nil
}

// verdict is what is wrong with a chart, if anything; it is sharp if the edges of its patches were seen.
func (f *finding) verdict(sharp bool) flaw {
	// Patches that do not show count against every way round alike.
	unseen := mostMisfit * float64(chartPatches-f.shown) / chartPatches
	switch {
	case len(f.outside) == 0 && sharp && f.ofOtherColours():
		return otherCard
	case f.next-unseen < clearlyBetter*max(f.misfit-unseen, 1):
		return eitherWay
	case pose(f.corners).mirrored():
		return mirrored
	case len(f.outside) > 0:
		return cutOff
	case len(f.hidden) > mostHidden || !sharp:
		return covered
	case min(f.half.u, f.half.v) > touching && f.misfit > fitsTouching:
		return otherCard
	case shortestSide(f.corners) < leastPatchSide:
		return tooSmall
	}
	return ""
}

// ofOtherColours reports whether too many patches lie open and yet have other colours than the chart's, or colours that fit it badly as a
// whole. What only glares does not count.
func (f *finding) ofOtherColours() bool {
	framed, other := 0, 0
	for i, s := range f.samples {
		if !f.framed[i] || !s.Skip.Empty() {
			continue
		}
		framed++
		got := s.Camera.Lab()
		glares := got.L > s.Want.L && paler(got, s.Want)
		if slices.Contains(f.hidden, s.Name) && !glares {
			other++
		}
	}
	return other > mostHidden || framed >= chartPatches-mostHidden && other > 0 && f.misfit > surelyChart
}

// A seenPose is what the photo shows at the 24 places of a pose, whichever way they are meant.
type seenPose struct {
	pose
	half    patchHalf
	cores   [chartPatches]core
	outside [chartPatches]bool
	framed  [chartPatches]bool // the edges of the patch were seen where a chart has them
}

func readPose(ctx context.Context, p *imageio.Photo, q pose, half patchHalf, edges *patchEdges) (*seenPose, error) {
	seen := &seenPose{pose: q, half: half}
	g := q.grid()
	face := plane.FromCorners(q.corners(half))
	if err := parallel.Ranges(ctx, chartPatches, chartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			seen.cores[i] = readCore(p, &face, i%chartColumns, i/chartColumns)
			seen.outside[i] = !shows(p, &g, i, half)
			seen.framed[i] = isFramed(edges[i], half)
		}
	}); err != nil {
		return nil, err
	}
	return seen, nil
}

// oneWay is what the pose is when its places are meant one of four ways.
func (seen *seenPose) oneWay(way int, opt Options) finding {
	f := finding{half: seen.half, logs: opt.logs(), corners: seen.turned(way).corners(seen.half)}
	var cores [chartPatches]core
	var outside [chartPatches]bool
	for i := range cores {
		from := turnedPlace(i, way)
		cores[i], outside[i], f.framed[i] = seen.cores[from], seen.outside[from], seen.framed[from]
	}
	f.samples = chartOf(cores, opt).Samples
	f.count(outside)
	return f
}

// lookInTwoLights counts the patches again as one light would show them, where some do not show their colours and two lights explain why.
func (f *finding) lookInTwoLights() {
	if len(f.hidden) == 0 || len(f.outside) > 0 {
		return
	}
	lights, ok := camera.FindLights(f.samples)
	if !ok {
		return
	}
	relit := *f
	relit.samples, relit.hidden, relit.shown, relit.misfit = lights.Relit(f.samples), nil, 0, 0
	relit.count([chartPatches]bool{})
	if len(relit.hidden) <= mostHidden && relit.misfit < f.misfit {
		*f = relit
	}
}

// count tells the patches that show their colours from those that do not.
func (f *finding) count(outside [chartPatches]bool) {
	samples := f.samples
	for i, m := range robustMisfits(samples, outside[:], f.logs) {
		switch {
		case outside[i]:
			f.outside = append(f.outside, samples[i].Name)
			m = mostMisfit
		case !samples[i].Skip.Empty() && samples[i].Want.L >= mayBurn:
			m = min(m, oddMisfit) // burnt out: it can neither speak for the chart nor against it
		case m > oddMisfit:
			f.hidden = append(f.hidden, samples[i].Name)
		default:
			f.shown++
		}
		f.misfit += min(m, mostMisfit) / chartPatches
	}
}

// isFramed reports whether most of the edges of a patch lie where they are on a chart with patches of that size.
func isFramed(edges []edge, half patchHalf) bool {
	const off = 0.06 // pitches
	n := 0
	for _, e := range edges {
		d := math.Abs(e.at.Y-e.middle) - half.v
		if e.upward {
			d = math.Abs(e.at.X-e.middle) - half.u
		}
		if math.Abs(d) < off {
			n++
		}
	}
	return n >= leastFrame
}

// shows reports whether all of a patch is in the picture.
func shows(p *imageio.Photo, g *plane.Homography, i int, half patchHalf) bool {
	u, v := float64(i%chartColumns), float64(i/chartColumns)
	for k := range 4 {
		at := g.Point(u+half.u*float64(2*(k&1)-1), v+half.v*float64(k&2-1))
		if !(at.X >= -1 && at.Y >= -1 && at.X <= float64(p.Width)+1 && at.Y <= float64(p.Height)+1) {
			return false
		}
	}
	return true
}
