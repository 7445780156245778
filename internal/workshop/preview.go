package workshop

import (
	"context"
	"image"
	"slices"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/render"
	"huewright/internal/fault"
)

// OnlyAGuide is said wherever a preview is shown.
const OnlyAGuide fault.Code = "plan.only-a-guide"

const previewWidth = 1600

// NewPreview prepares to show a plan on the photos of its piece.
func NewPreview(photos *Photos, result *PlanResult, opt PreviewOptions) *Preview {
	switch {
	case opt.Width == 0:
		opt.Width = previewWidth
	case opt.Width < 0:
		opt.Width = 0
	}
	return &Preview{photos: photos, plan: result, opt: opt, canvases: map[string]*render.Canvas{}}
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

// Before is a photo as it is.
func (p *Preview) Before(ctx context.Context, photo string) (image.Image, error) {
	c, err := p.canvas(ctx, photo)
	if err != nil {
		return nil, err
	}
	return c.Picture(), nil
}

// After is a photo with every area in it at the suggested counts; where an area has none, it is
// shown as it is, under the clear coat where that is asked for.
func (p *Preview) After(ctx context.Context, photo string) (image.Image, []Shown, error) {
	c, err := p.fresh(ctx, photo)
	if err != nil {
		return nil, nil, err
	}
	all, err := p.recolourAll(ctx, c, nil, photo)
	return c.Picture(), all, err
}

// recolourAll recolours every area of a photo at the suggested counts; see recolour.
func (p *Preview) recolourAll(ctx context.Context, c, byDay *render.Canvas, photo string) (all []Shown, err error) {
	for i := range p.plan.Areas {
		a := &p.plan.Areas[i]
		if p.photoOf(a) != photo {
			continue
		}
		shown, err := p.recolour(ctx, c, byDay, i, a.Plan.Coats)
		if err != nil {
			return nil, err
		}
		all = append(all, shown)
	}
	return all, nil
}

// AfterByLamp is After by a warm lamp, whose own tint an eye used to it does not see. It is a guess: what has one colour by day is taken
// for what is likeliest to have it.
func (p *Preview) AfterByLamp(ctx context.Context, photo string) (image.Image, []Shown, error) {
	byDay, err := p.fresh(ctx, photo)
	if err != nil {
		return nil, nil, err
	}
	c := byDay.Clone()
	s := p.photo(photo)
	if err := c.Recolour(ctx, c.Whole(), render.Recolouring{
		Change: func(light colour.LinearRGB) colour.LinearRGB {
			spectrum := p.spectrum(s, light)
			return s.correction.Recorded(plan.ByLamp(&spectrum), light)
		},
		Light: s.light, Feather: -1,
	}); err != nil {
		return nil, nil, err
	}
	shown, err := p.recolourAll(ctx, c, byDay, photo)
	return c.Picture(), shown, err
}

// Strip shows an area after no coat, one, and so on up to one more than is suggested, cut out of the
// photo.
func (p *Preview) Strip(ctx context.Context, area string) (pictures []image.Image, shown []Shown, err error) {
	i := slices.IndexFunc(p.plan.Areas, func(a AreaPlan) bool { return a.Area.Name == area })
	if i < 0 {
		return nil, nil, noArea(&p.plan.Piece, area)
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
		one, err := p.recolour(ctx, c, nil, i, p.plan.firstCoats(a, n))
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
