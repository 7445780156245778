package slip

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/fault"
)

// A Patch is one of a slip as a photo shows it.
type Patch struct {
	Name    string           // of its tone: two patches of a slip may have the same
	Camera  colour.LinearRGB // as the camera recorded it; its darkest and lightest tenth left out
	SD      float64          // standard deviation of Camera, in units of L*, a* and b*
	Clipped float64          // share of its pixels with a channel near-clipped, 0–1
	Outline imageio.Outline  // of what was read
}

const (
	// BestPixels is how wide a frame is seen at least for its colours to be relied on.
	BestPixels = 100
	// clearPixels is how many pixels next to the edge of a patch are not read: blur and the coarse colours of a JPEG reach so far.
	clearPixels = 3.0
	// leastCore is the share of a patch, along each side, that is read at least; mostCore at most.
	leastCore, mostCore = 0.36, 0.7
	// sdAtBest is the standard deviation that a patch of a slip seen BestPixels wide has beside its grain; it grows as the slip
	// gets smaller. TestPatches holds it.
	sdAtBest = 0.5
	// mostPixels of a patch are enough.
	mostPixels = 4000
	// mostClipped is the share of a patch's pixels that may be clipped for it to be a tie point.
	mostClipped = 0.02
	// leastPixels is how wide a frame is seen at least to be a tie.
	leastPixels = 50
	// specks is how many pixels of a patch count as one: neighbours share noise and a JPEG's errors.
	specks = 9
)

// Read reads the patches of a slip, row by row. A patch that is clipped is read too, and says so. The error is that of the context, or
// a fault with the code slip.too-small where there are no pixels to read.
func Read(ctx context.Context, p *imageio.Photo, s *Slip) ([Patches]Patch, error) {
	var patches [Patches]Patch
	shortest, _ := s.face.sides()
	inset := clearPixels * Side / shortest
	core := min(max(patchSide-2*inset, leastCore*patchSide), mostCore*patchSide)
	for i, tone := range s.Tones() {
		at := patch(i)
		o := s.outline(at.X+(patchSide-core)/2, at.Y+(patchSide-core)/2, core)
		set, err := p.Gather(ctx, o.Spans(p.Width, p.Height), mostPixels)
		if err != nil {
			return patches, err
		}
		if len(set.Light) < 4 {
			return patches, fault.New(fault.Photo, "slip.too-small", "slip", s.Number, "pixels", int(math.Round(shortest)))
		}
		patches[i] = patchOf(set, shortest)
		patches[i].Name, patches[i].Outline = tone.Name, o
	}
	return patches, nil
}

// TiePoints are the colours of slips as tie points between photos: one for each tone of a slip, the patches of one tone taken
// together. Slips that are too small to be read, those that a photo shows twice and patches that are clipped are left out. Where the
// light over the photo is known it is taken out; nil where it is not. The error is that of the context.
func TiePoints(ctx context.Context, p *imageio.Photo, slips []Slip, light imageio.Light) (ties []camera.TiePoint, err error) {
	for _, s := range Once(slips) {
		if s.Pixels() < leastPixels {
			continue
		}
		patches, err := Read(ctx, p, &s)
		if fault.Is(err, "slip.too-small") {
			continue
		}
		if err != nil {
			return nil, err
		}
		ties = append(ties, tiesOf(&s, patches, light)...)
	}
	return ties, nil
}

func tiesOf(s *Slip, patches [Patches]Patch, light imageio.Light) (ties []camera.TiePoint) {
	var order []string
	same := map[string][]Patch{}
	for _, p := range patches {
		if p.Clipped > mostClipped {
			continue
		}
		if len(same[p.Name]) == 0 {
			order = append(order, p.Name)
		}
		same[p.Name] = append(same[p.Name], p)
	}
	for _, name := range order {
		tie := camera.TiePoint{Name: s.String() + " · " + name}
		n := float64(len(same[name]))
		for _, p := range same[name] {
			share := 1 / n
			if light != nil {
				share *= math.Exp(-light.Log(p.Outline.Centre()))
			}
			tie.Camera.R += share * p.Camera.R
			tie.Camera.G += share * p.Camera.G
			tie.Camera.B += share * p.Camera.B
			tie.SD += p.SD / n
		}
		ties = append(ties, tie)
	}
	return ties
}

// outline is a square on the slip, in millimetres, as the photo shows it.
func (s *Slip) outline(x, y, side float64) imageio.Outline {
	return imageio.Outline{Points: []imageio.Point{
		s.face.point(x, y), s.face.point(x+side, y), s.face.point(x+side, y+side), s.face.point(x, y+side),
	}}
}

func patchOf(set imageio.Pixels, shortest float64) Patch {
	inner, mean := sample.Trimmed(set)
	n := float64(len(inner.Light))
	lab, variance := mean.Lab(), 0.0
	for _, c := range inner.Light {
		l := c.Lab()
		variance += (math.Pow(l.L-lab.L, 2) + math.Pow(l.A-lab.A, 2) + math.Pow(l.B-lab.B, 2)) / (3 * n)
	}
	return Patch{
		Camera: mean, Clipped: sample.ClippedShare(set),
		SD: math.Sqrt(variance*specks/n + math.Pow(sdAtBest*max(1, BestPixels/shortest), 2)),
	}
}
