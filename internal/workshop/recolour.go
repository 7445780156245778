package workshop

import (
	"context"
	"sync"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/imageio"
	"huewright/imageio/evenlight"
	"huewright/imageio/render"
	"huewright/imageio/sample"
)

// recolour recolours an area of a canvas. Every pixel goes through the same films as the plan; what is
// left between the mean of all pixels and the plan's figure, which also knows what the reading may
// have wrong, is taken out by one gain for each of X, Y and Z.
//
// Where the photo as it is by day is given too, the canvas is by a warm lamp, and so is the area.
func (p *Preview) recolour(ctx context.Context, c, byDay *render.Canvas, i int, coats []plan.CoatCount) (Shown, error) {
	a := &p.plan.Areas[i]
	shown := Shown{Area: a.Area.Name, Coats: coats, Clear: p.opt.Clear && p.plan.Finished}
	var laid []plan.Layer
	for _, k := range coats {
		laid = append(laid, plan.Layer{Coating: p.plan.shelfPlace(k.Coating), Coats: k.Count})
	}
	seeing := plan.NewRenderer(&learn.Samples{Best: p.plan.Best}, a.Asked, laid, shown.Clear)
	if byDay != nil {
		seeing = seeing.ByLamp()
	}
	mean := seeing.Mean()
	shown.Lab = mean.Lab()
	outline, err := imageio.ParseOutline(a.Area.Outline)
	if err != nil || !seeing.Changes() {
		return shown, nil // it was measured by this very outline
	}
	all := []imageio.Outline{outline}
	if len(a.Area.Shown) > 0 {
		all = nil
		for _, text := range a.Area.Shown {
			if o, err := imageio.ParseOutline(text); err == nil { // a piece is checked when it is read
				all = append(all, o)
			}
		}
	}
	s := p.photo(p.photoOf(a))
	change := func(light colour.LinearRGB) colour.XYZ {
		spectrum := p.spectrum(s, light)
		return seeing.Of(&spectrum)
	}
	gain, err := p.gain(ctx, s, outline, mean, change, &shown)
	if err != nil {
		return shown, err
	}
	recolouring := render.Recolouring{
		Change: func(light colour.LinearRGB) colour.LinearRGB {
			to := change(light)
			return s.correction.Recorded(colour.XYZ{X: gain[0] * to.X, Y: gain[1] * to.Y, Z: gain[2] * to.Z}, light)
		},
		Light: s.light, Feather: p.opt.Feather, From: byDay,
	}
	for _, o := range all {
		if err := c.Recolour(ctx, o, recolouring); err != nil {
			return shown, err
		}
	}
	return shown, nil
}

// sampled is the number of pixels that an area's mean is estimated from.
const sampled = 1500

// gain is the factor for X, Y and Z that takes the mean of an area's recoloured pixels to the predicted colour.
func (p *Preview) gain(
	ctx context.Context, s *calibratedPhoto, outline imageio.Outline, mean colour.XYZ, change func(colour.LinearRGB) colour.XYZ, shown *Shown,
) ([3]float64, error) {
	light, at, err := sample.WoodLight(ctx, s.photo, outline, sampled)
	if ended := ctx.Err(); ended != nil {
		return [3]float64{}, ended
	}
	if err != nil {
		return [3]float64{1, 1, 1}, nil // it was measured by this very outline
	}
	var sum colour.XYZ
	for i, l := range light {
		if s.light != nil {
			k := evenlight.Gain(s.light, at[i])
			l = colour.LinearRGB{R: k * l.R, G: k * l.G, B: k * l.B}
		}
		to := change(rounded(l))
		sum = colour.XYZ{X: sum.X + to.X, Y: sum.Y + to.Y, Z: sum.Z + to.Z}
	}
	n := float64(len(light))
	if n == 0 || sum.X <= 0 || sum.Y <= 0 || sum.Z <= 0 {
		return [3]float64{1, 1, 1}, nil
	}
	shown.Corrects = colour.DeltaE2000(mean.Lab(), colour.XYZ{X: sum.X / n, Y: sum.Y / n, Z: sum.Z / n}.Lab())
	return [3]float64{n * mean.X / sum.X, n * mean.Y / sum.Y, n * mean.Z / sum.Z}, nil
}

// rounded is a colour on a lattice so fine that nobody sees it: pixels of one colour then share a
// spectrum.
func rounded(l colour.LinearRGB) colour.LinearRGB {
	const steps = 512
	at := func(v float64) float64 { return float64(int(v*steps+0.5)) / steps }
	return colour.LinearRGB{R: at(l.R), G: at(l.G), B: at(l.B)}
}

// spectrum is that of what a photo shows in some colour, in even light.
func (p *Preview) spectrum(s *calibratedPhoto, light colour.LinearRGB) spectra.Spectrum {
	type key struct {
		photo int
		light colour.LinearRGB
	}
	k := key{s.at, light}
	if known, ok := p.spectra.Load(k); ok {
		return *known.(*spectra.Spectrum)
	}
	spectrum := spectra.Smoothest(s.correction.Lab(light))
	p.spectra.Store(k, &spectrum)
	return spectrum
}

// A Shown is an area as a preview shows it.
type Shown struct {
	Area     string
	Coats    []plan.CoatCount
	Lab      colour.Lab // predicted, and the mean that is shown
	Clear    bool       // under the clear coat
	Corrects float64    // ΔE00 by which its mean would have been off, had it not been set right
}

// A Preview shows the photos of a planned piece with its areas as they would look. It is made once
// and then asked for pictures; any number of goroutines may.
type Preview struct {
	photos   *Photos
	plan     *PlanResult
	opt      PreviewOptions
	mutex    sync.Mutex
	canvases map[string]*render.Canvas // by photo
	spectra  sync.Map                  // of corners of the colour grid, by photo and colour
}

// A PreviewOptions says how a plan is shown.
type PreviewOptions struct {
	Width int  `json:"width,omitempty"` // pixels of the longer side; 0 means 1600, negative full size
	Clear bool `json:"clear,omitempty"` // under the clear coat to come, where the piece has one
	// Feather is how far the edges of areas are softened, in pixels; 0 means a six-hundredth of
	// the longer side.
	Feather float64 `json:"feather,omitempty"`
}

// photo is one of Photos.
func (p *Preview) photo(name string) *calibratedPhoto {
	s, err := p.photos.named(name)
	if err != nil {
		panic(err) // a plan is shown on the photos that it was made from
	}
	return s
}

// photoOf is the name of the photo that an area is outlined in.
func (p *Preview) photoOf(a *AreaPlan) string {
	if a.Area.Typed() != nil {
		return "" // none shows it
	}
	if a.Area.Photo == "" {
		return p.plan.Piece.Photos[0].Name
	}
	return a.Area.Photo
}
