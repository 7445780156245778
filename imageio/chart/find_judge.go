package chart

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A finding is a card that was found, judged by its colours.
type finding struct {
	corners [4]imageio.Point
	other   [4]imageio.Point // corners for the best of the other ways round
	half    patchHalf
	fault   Fault    // "" for a chart that may be used
	hidden  []string // patches that do not show their colour
	outside []string // patches that the picture does not show, or only in part
	misfit  float64  // ΔE00: mean over the patches, any one counting at most mostMisfit
	next    float64  // the same for the best of the other ways round
	shown   int      // patches that show their colour
}

const (
	mostMisfit = 25.0
	// oddMisfit is from what ΔE00 on a patch does not show its own colour: something lies on
	// it, or the light glares there.
	oddMisfit = 12.0
	// leastShown is how many patches must show their colours before any name is given to
	// what the others suffer from.
	leastShown = 10
	// mostHidden is how many may not before the chart counts as partly covered. Up to that
	// the fit of the correction can do without them.
	mostHidden = 2
	// mayBurn is the L* from which a clipped patch is one that was lit too strongly, not one
	// that something white or shining lies on.
	mayBurn = 55.0
	// Charts have gaps of a seventh of a pitch or more between their patches. A card whose
	// patches all but touch must fit as well as a chart does in a good photo, or it is
	// one that only resembles it.
	touching, fitsTouching = 0.475, 3.0
	// clearlyBetter is how many times worse the next way round must fit.
	clearlyBetter = 1.5
)

// judge reads a pose in the full photo, in each of the four ways its places may be meant, and
// says what it is. It is not ok when the colours are no chart's whichever way.
func judge(ctx context.Context, p *imageio.Photo, q pose, edition camera.Edition) (finding, bool, error) {
	laid, half, sharp, err := alongEdges(ctx, p, q)
	if err != nil {
		return finding{}, false, err
	}
	if !sharp {
		half = patchHalf{0.44, 0.44}
	}
	seen, err := readPose(ctx, p, laid, half)
	if err != nil {
		return finding{}, false, err
	}
	var found [4]finding
	if err := parallel.Ranges(ctx, len(found), 1, func(way, _ int) { found[way] = seen.weigh(way, edition) }); err != nil {
		return finding{}, false, err
	}
	slices.SortStableFunc(found[:], func(a, b finding) int { return cmp.Compare(a.misfit, b.misfit) })
	best, next := found[0], found[1]
	best.next, best.other = next.misfit, next.corners
	if best.shown < leastShown || best.misfit > perhapsChart+float64(chartPatches-best.shown) {
		return best, false, nil
	}
	best.fault = best.verdict(sharp)
	return best, true, nil
}

func (f *finding) verdict(sharp bool) Fault {
	// Patches that do not show count against every way round alike.
	unseen := mostMisfit * float64(chartPatches-f.shown) / chartPatches
	switch {
	case f.next-unseen < clearlyBetter*max(f.misfit-unseen, 1):
		return EitherWay
	case pose(f.corners).mirrored():
		return Mirrored
	case len(f.outside) > 0:
		return CutOff
	case len(f.hidden) > mostHidden || !sharp:
		return Covered
	case min(f.half.u, f.half.v) > touching && f.misfit > fitsTouching:
		return OtherCard
	case blob.ShortestSide(f.corners) < leastPatchSide:
		return TooSmall
	}
	return ""
}

// A seenPose is what the photo shows at the 24 places of a pose, whichever way they are meant.
type seenPose struct {
	pose
	half    patchHalf
	cores   [chartPatches]core
	outside [chartPatches]bool
}

func readPose(ctx context.Context, p *imageio.Photo, q pose, half patchHalf) (*seenPose, error) {
	seen := &seenPose{pose: q, half: half}
	g := q.grid()
	plane := blob.PlaneOf(q.corners(half))
	if err := parallel.Ranges(ctx, chartPatches, blob.ChartColumns, func(from, to int) {
		for i := from; i < to; i++ {
			seen.cores[i] = readCore(p, plane, i%blob.ChartColumns, i/blob.ChartColumns)
			seen.outside[i] = !shows(p, &g, i, half)
		}
	}); err != nil {
		return nil, err
	}
	return seen, nil
}

// corners are the outer ones of the patch field.
func (q pose) corners(half patchHalf) [4]imageio.Point {
	g := q.grid()
	const right, bottom = blob.ChartColumns - 1, blob.ChartRows - 1
	return [4]imageio.Point{
		g.Point(-half.u, -half.v), g.Point(right+half.u, -half.v),
		g.Point(right+half.u, bottom+half.v), g.Point(-half.u, bottom+half.v),
	}
}

// weigh finds how well the colours fit one way round.
func (seen *seenPose) weigh(way int, edition camera.Edition) finding {
	f := finding{half: seen.half, corners: seen.turned(way).corners(seen.half)}
	var cores [chartPatches]core
	var outside [chartPatches]bool
	for i := range cores {
		from := turnedPlace(i, way)
		cores[i], outside[i] = seen.cores[from], seen.outside[from]
	}
	samples := chartOf(cores, Options{Edition: edition}).Samples
	misfits := robustMisfits(samples, outside[:])
	for i, m := range misfits {
		switch {
		case outside[i]:
			f.outside = append(f.outside, samples[i].Name)
			m = mostMisfit
		case samples[i].Skip != "" && samples[i].Want.L >= mayBurn:
			m = min(m, oddMisfit) // burnt out: it can neither speak for the chart nor against it
		case m > oddMisfit:
			f.hidden = append(f.hidden, samples[i].Name)
		default:
			f.shown++
		}
		f.misfit += min(m, mostMisfit) / chartPatches
	}
	return f
}

// shows reports whether all of a patch is in the picture.
func shows(p *imageio.Photo, g *gridPlane, i int, half patchHalf) bool {
	u, v := float64(i%blob.ChartColumns), float64(i/blob.ChartColumns)
	for _, corner := range [4]imageio.Point{{X: u - half.u, Y: v - half.v}, {X: u + half.u, Y: v - half.v}, {X: u + half.u, Y: v + half.v}, {X: u - half.u, Y: v + half.v}} {
		at := g.Point(corner.X, corner.Y)
		if !(at.X >= -1 && at.Y >= -1 && at.X <= float64(p.Width)+1 && at.Y <= float64(p.Height)+1) {
			return false
		}
	}
	return true
}

// robustMisfits fits the camera model to the patches that agree with one another and returns
// the misfit of all in ΔE00.
func robustMisfits(samples []camera.Sample, outside []bool) []float64 {
	var seen [chartPatches]light
	for i, s := range samples {
		seen[i].inside = !outside[i]
		for k, v := range [3]float64{s.Camera.R, s.Camera.G, s.Camera.B} {
			seen[i].log[k] = math.Log(max(v, darkest))
		}
	}
	const oddLog, rounds = 0.5, 3
	use := make([]bool, len(samples))
	for i, m := range logMisfits(seen) {
		use[i] = m < oddLog && samples[i].Skip == ""
	}
	trial := slices.Clone(samples)
	var misfits []float64
	for range rounds {
		var kept []float64
		for i := range trial {
			trial[i].Skip = ""
			if !use[i] {
				trial[i].Skip = "odd"
			}
		}
		misfits = camera.Misfits(trial)
		for i, m := range misfits {
			if use[i] {
				kept = append(kept, m)
			}
		}
		if len(kept) == 0 {
			break
		}
		limit := max(oddMisfit, 3*stat.Quantile(kept, 0.5))
		changed := false
		for i, m := range misfits {
			good := !outside[i] && m <= limit && samples[i].Skip == ""
			changed = changed || good != use[i]
			use[i] = good
		}
		if !changed {
			break
		}
	}
	return misfits
}
