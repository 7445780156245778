package workshop

import (
	"context"
	"fmt"
	"image"
	"slices"
	"sync"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/imageio"
	"huewright/imageio/evenlight"
	"huewright/imageio/render"
	"huewright/imageio/sample"
	"huewright/internal/piece"
)

// OnlyAGuide is said wherever a preview is shown.
const OnlyAGuide = "a screen is a guide, not a proof: it shows no gloss, and no screen is the room; trust the test coat"

// A PreviewOptions says how a plan is shown.
type PreviewOptions struct {
	Width int  `json:"width,omitempty"` // pixels of the longer side; 0 means 1600, negative full size
	Clear bool `json:"clear,omitempty"` // under the clear coat to come, where the piece has one
	// Feather is how far the edges of areas are softened, in pixels; 0 means a six-hundredth of
	// the longer side.
	Feather float64 `json:"feather,omitempty"`
}

const previewWidth = 1600

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

// NewPreview prepares to show a plan on the photos of its piece.
func NewPreview(photos *Photos, plan *PlanResult, opt PreviewOptions) *Preview {
	switch {
	case opt.Width == 0:
		opt.Width = previewWidth
	case opt.Width < 0:
		opt.Width = 0
	}
	return &Preview{photos: photos, plan: plan, opt: opt, canvases: map[string]*render.Canvas{}}
}

// photo is one of Photos.
func (p *Preview) photo(name string) *calibratedPhoto {
	s, err := p.photos.named(name)
	if err != nil {
		panic(err) // a plan is shown on the photos that it was made from
	}
	return s
}

// canvas is a photo as it is, to be cloned.
func (p *Preview) canvas(ctx context.Context, photo string) (*render.Canvas, error) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	if c := p.canvases[photo]; c != nil {
		return c, nil
	}
	c, err := render.NewCanvas(ctx, p.photo(photo).photo, p.opt.Width)
	if err != nil {
		return nil, err
	}
	p.canvases[photo] = c
	return c, nil
}

// fresh is a photo as it is, to be laid on. One of full size is rendered anew: to keep it and copy it
// would take as long, and its memory twice.
func (p *Preview) fresh(ctx context.Context, photo string) (*render.Canvas, error) {
	if p.opt.Width == 0 {
		return render.NewCanvas(ctx, p.photo(photo).photo, 0)
	}
	c, err := p.canvas(ctx, photo)
	if err != nil {
		return nil, err
	}
	return c.Clone(), nil
}

// Photos are those in which an area is outlined, in the order of the piece.
func (p *Preview) Photos() (names []string) {
	for _, photo := range p.plan.Piece.Photos {
		if slices.ContainsFunc(p.plan.Areas, func(a AreaPlan) bool { return p.photoOf(&a) == photo.Name }) {
			names = append(names, photo.Name)
		}
	}
	return names
}

// photoOf is the name of the photo that an area is outlined in.
func (p *Preview) photoOf(a *AreaPlan) string {
	if a.Area.Photo == "" {
		return p.plan.Piece.Photos[0].Name
	}
	return a.Area.Photo
}

// Before is a photo as it is.
func (p *Preview) Before(ctx context.Context, photo string) (image.Image, error) {
	c, err := p.canvas(ctx, photo)
	if err != nil {
		return nil, err
	}
	return c.Picture(), nil
}

// After is a photo with every area in it at the count put forward; where an area has none, it is
// shown as it is, under the clear coat where that is asked for.
func (p *Preview) After(ctx context.Context, photo string) (image.Image, []Shown, error) {
	c, err := p.fresh(ctx, photo)
	if err != nil {
		return nil, nil, err
	}
	var all []Shown
	for i := range p.plan.Areas {
		a := &p.plan.Areas[i]
		if p.photoOf(a) != photo {
			continue
		}
		shown, err := p.recolour(ctx, c, i, p.plan.Coats(a))
		if err != nil {
			return nil, nil, err
		}
		all = append(all, shown)
	}
	return c.Picture(), all, nil
}

// A Shown is an area as a preview shows it.
type Shown struct {
	Area     string
	Coats    []plan.CoatCount
	Lab      colour.Lab // that was foreseen, and that its mean is shown as
	Clear    bool       // under the clear coat
	Corrects float64    // ΔE00 by which its mean would have been off, had it not been set right
}

// Strip shows an area after no coat, one, and so on up to one more than is put forward, cut out of the
// photo.
func (p *Preview) Strip(ctx context.Context, area string) (pictures []image.Image, shown []Shown, err error) {
	i := slices.IndexFunc(p.plan.Areas, func(a AreaPlan) bool { return a.Area.Name == area })
	if i < 0 {
		return nil, nil, &piece.UseError{Key: "area", Problem: fmt.Sprintf("there is no area %q", area), Advice: "name one of the piece's areas"}
	}
	a := &p.plan.Areas[i]
	outline, err := imageio.ParseOutline(a.Area.Outline)
	if err != nil {
		return nil, nil, err
	}
	for n := 0; n <= len(a.Expected); n++ {
		c, err := p.fresh(ctx, p.photoOf(a))
		if err != nil {
			return nil, nil, err
		}
		one, err := p.recolour(ctx, c, i, p.plan.firstCoats(a, n))
		if err != nil {
			return nil, nil, err
		}
		shown = append(shown, one)
		pictures = append(pictures, c.Crop(outline, 0.05))
	}
	return pictures, shown, nil
}

// OutlineOf is where an area's outline lies on pictures of a photo; none where it is in another.
func (p *Preview) OutlineOf(ctx context.Context, area, photo string) (points [][2]float64, err error) {
	a := p.plan.Named(area)
	if a == nil || p.photoOf(a) != photo {
		return nil, nil
	}
	outline, err := imageio.ParseOutline(a.Area.Outline)
	if err != nil {
		return nil, nil // a piece is checked when it is read
	}
	c, err := p.canvas(ctx, photo)
	if err != nil {
		return nil, err
	}
	for _, at := range outline.Points {
		on := c.Place(at)
		points = append(points, [2]float64{on.X, on.Y})
	}
	return points, nil
}

// recolour recolours an area of a canvas. Every pixel goes through the same films as the plan; what is
// left between the mean of all pixels and the plan's figure, which also knows what the reading may
// have wrong, is taken out by one gain for each of X, Y and Z.
func (p *Preview) recolour(ctx context.Context, c *render.Canvas, i int, coats []plan.CoatCount) (Shown, error) {
	a := &p.plan.Areas[i]
	shown := Shown{Area: a.Area.Name, Coats: coats, Clear: p.opt.Clear && p.plan.Finished}
	var laid []plan.Layer
	for _, k := range coats {
		laid = append(laid, plan.Layer{Coating: p.plan.shelfPlace(k.Coating), Coats: k.Count})
	}
	seeing := plan.NewRenderer(&learn.Samples{Best: p.plan.Best}, a.Asked, laid, shown.Clear)
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
		Light: s.light, Feather: p.opt.Feather,
	}
	for _, o := range all {
		if err := c.Recolour(ctx, o, recolouring); err != nil {
			return shown, err
		}
	}
	return shown, nil
}

// sampled is how many pixels of an area its mean is told from.
const sampled = 1500

// gain is what takes the mean of an area's pixels, each changed by itself, to what was foreseen.
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
			k := evenlight.EvenLight(s.light, at[i])
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
