package sample

import (
	"context"
	"fmt"
	"math"
	"sync"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// Options says how an area is read.
type Options struct {
	Name      string        // of the area, for messages; default none
	MaxPixels int           // more than these are read on a square lattice; default 100 000
	Light     imageio.Light // that falls on the photo, to be evened out; default even light
}

// LeastPixels is how many a reading needs after glare and gaps have been left out.
const LeastPixels = 200

// defaultMaxPixels keeps the time of a reading at a few per cent of that of decoding. Grain is
// alike over so many pixels that more of them would not make the mean surer.
const defaultMaxPixels = 100_000

// When an area is worth a warning. Our own choice.
const (
	muchGlare   = 0.05 // of the pixels
	muchGap     = 0.10
	muchClipped = 0.01
	muchTilt    = 0.20 // of luminance, from end to end
	muchGrain   = 1.5  // ΔE00
	fewPixels   = 2000
)

// Read reads the colour of an area: its pixels without glare and gaps, corrected, averaged
// in linear light, with the spread of its grain. A nil correction is that of a photo without
// any reference: its colours are taken at their word and given a wide ±.
//
// Pixels and Dropped count what was read; of a large area that is a square lattice of its
// pixels. The error is an *OutlineError when the outline does not fit the photo, and an
// *AreaError when too little can be measured inside it.
func Read(ctx context.Context, p *imageio.Photo, o imageio.Outline, correction *camera.Correction, opt Options) (colour.Reading, error) {
	if correction == nil {
		correction = NoReference()
	}
	return readBy(ctx, p, o, correction, opt)
}

var NoReference = sync.OnceValue(func() *camera.Correction {
	correction, _, err := camera.Fit(nil)
	if err != nil {
		panic(err) // it is for samples that are not colours
	}
	return correction
})

// Corrector is what sampling needs of a correction.
type Corrector interface {
	Apply(camera colour.LinearRGB) colour.XYZ
	PlusMinus(near colour.Lab) float64
}

func readBy(ctx context.Context, p *imageio.Photo, o imageio.Outline, correction Corrector, opt Options) (colour.Reading, error) {
	set, err := pixelsIn(ctx, p, o, opt)
	if err != nil {
		return colour.Reading{}, err
	}
	verdicts, err := judge(ctx, set)
	if err != nil {
		return colour.Reading{}, err
	}
	var dropped colour.Dropped
	for _, v := range verdicts {
		switch v {
		case glare:
			dropped.Glare++
		case gap:
			dropped.Gaps++
		}
	}
	wood := set.Keep(func(i int) bool { return verdicts[i] == kept })
	if len(wood.At) < LeastPixels {
		return colour.Reading{}, TooFew(p, opt.Name, len(wood.At), "after masking")
	}
	light := make([]colour.XYZ, len(wood.Light))
	if err := parallel.Ranges(ctx, len(light), 1<<13, func(from, to int) {
		for i := from; i < to; i++ {
			light[i] = correction.Apply(wood.Light[i])
			if opt.Light != nil {
				light[i] = imageio.InEvenLight(light[i], opt.Light.Log(wood.At[i].Centre()))
			}
		}
	}); err != nil {
		return colour.Reading{}, err
	}
	r := colour.Summarise(light)
	r.Dropped = dropped
	r.Sampling = samplingRadius(wood.At, light)
	r.Systematic = correction.PlusMinus(r.Mean)
	if opt.Light != nil {
		r.Systematic = math.Hypot(r.Systematic, LightRadius(r.Mean, opt.Light.Unsure(o.Centre())))
	}
	r.PlusMinus = math.Hypot(r.Systematic, r.Sampling)
	r.From = imageio.JoinPath(p.Path, opt.Name)
	r.Warnings = areaWarnings(wood, light, r)
	return r, nil
}

// pixelsIn reads the pixels of an outline, refusing one that cannot be read.
func pixelsIn(ctx context.Context, p *imageio.Photo, o imageio.Outline, opt Options) (imageio.Pixels, error) {
	if fault := o.CheckOn(p); fault != nil {
		fault.Name = opt.Name
		return imageio.Pixels{}, fault
	}
	spans := o.Spans(p.Width, p.Height)
	n := imageio.CountPixels(spans)
	if n < LeastPixels {
		return imageio.Pixels{}, TooFew(p, opt.Name, n, "in the outline")
	}
	if hidden := p.TransparentIn(spans); hidden > 0 {
		return imageio.Pixels{}, &imageio.AreaError{
			Path: p.Path, Name: opt.Name, Problem: fmt.Sprintf("%s in the outline are transparent", pixels(hidden)),
			Advice: "keep the outline clear of what was cut out, or use the photo before that",
		}
	}
	limit := opt.MaxPixels
	if limit == 0 {
		limit = defaultMaxPixels
	}
	return p.Gather(ctx, spans, limit)
}

func TooFew(p *imageio.Photo, name string, n int, where string) *imageio.AreaError {
	return &imageio.AreaError{
		Path: p.Path, Name: name, Problem: fmt.Sprintf("%s %s, need %d", pixels(n), where, LeastPixels),
		Advice: "outline a larger area of plain wood, or take the photo from nearer",
	}
}

func pixels(n int) string {
	if n == 1 {
		return "1 pixel"
	}
	return fmt.Sprintf("%d pixels", n)
}

// areaWarnings says what of an area makes its reading less sure.
func areaWarnings(wood imageio.Pixels, light []colour.XYZ, r colour.Reading) []string {
	var out []string
	warn := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	read := float64(r.Pixels + r.Dropped.Glare + r.Dropped.Gaps)
	if share := float64(r.Dropped.Glare) / read; share > muchGlare {
		warn("%.0f %% of the area is glare and was left out: turn the piece or move the lamp, and take it again", 100*share)
	}
	if share := float64(r.Dropped.Gaps) / read; share > muchGap {
		warn("%.0f %% of the area is gaps or shadow and was left out: keep the outline to one board", 100*share)
	}
	clipped := 0
	luminances := make([]float64, len(light))
	for i, c := range light {
		luminances[i] = c.Y
		if wood.Near[i] > 0 {
			clipped++
		}
	}
	if share := float64(clipped) / float64(len(light)); share > muchClipped {
		warn("%.0f %% of the area is too bright for the photo to hold its colour: take it again with less exposure", math.Ceil(100*share))
	}
	if tilt := unevenness(wood.At, luminances); tilt > muchTilt {
		warn("the light changes by %.0f %% across the area: mark a smaller one, or light the piece more evenly", 100*tilt)
	} else if r.Sampling > muchGrain {
		warn("the wood varies so much that another part of it may read %.1f ΔE00 differently: mark a larger area", r.Sampling)
	}
	if r.Pixels < fewPixels {
		warn("only %s: take the photo from nearer, or mark a larger area", pixels(r.Pixels))
	}
	return out
}
