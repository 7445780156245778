package bench

import (
	"cmp"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/imageio"
)

// An Area is part of a photo whose true colour is known: the mean in linear light of what is
// there, under D65, without the light's gradient, the shadows and the camera.
type Area struct {
	Name    string
	Outline imageio.Outline
	Lab     colour.Lab // mean
	Ground  colour.Lab // mean of the lightest quarter of the grain
	Figure  colour.Lab // mean of the darkest quarter

	components []component
}

// A component is a share of an area at one level of one palette's grain.
type component struct {
	surface   spectra.Spectrum
	luminance float64
	share     float64
}

// After is the area's true mean colour under coats of a wash; none is its colour now.
func (a *Area) After(w *Wash, coats float64) colour.Lab {
	var sum colour.XYZ
	for i := range a.components {
		covered := w.Over(&a.components[i].surface, coats)
		add(&sum, covered.XYZ(spectra.LightD65), a.components[i].share)
	}
	return sum.Lab()
}

// BestCount is the number of coats of w, 0–most, after which the area's true colour is nearest
// to target, and how near that is in ΔE00.
func (a *Area) BestCount(w *Wash, target colour.Lab, most int) (coats int, left float64) {
	left = math.Inf(1)
	for n := range most + 1 {
		if d := colour.DeltaE2000(target, a.After(w, float64(n))); d < left {
			coats, left = n, d
		}
	}
	return coats, left
}

func add(sum *colour.XYZ, c colour.XYZ, share float64) {
	sum.X += share * c.X
	sum.Y += share * c.Y
	sum.Z += share * c.Z
}

// truth works out the areas that are wholly in the picture.
func (s *Scene) truth(v View) []Area {
	var areas []Area
	for _, p := range s.places {
		a := Area{Name: p.name}
		in := true
		a.Outline = v.outline(p.shape, 1)
		for _, at := range a.Outline.Points {
			in = in && at.X >= 0 && at.Y >= 0 && at.X <= float64(v.Width) && at.Y <= float64(v.Height)
		}
		if in {
			s.countGrain(&a, v)
			areas = append(areas, a)
		}
	}
	return areas
}

// outline is where a shape is seen, in so many parts of a pixel: in whole ones as a person would give it.
func (v View) outline(s shape, parts float64) (o imageio.Outline) {
	for _, corner := range s {
		at := v.pixel(corner)
		o.Points = append(o.Points, imageio.Point{X: math.Round(parts*at.X) / parts, Y: math.Round(parts*at.Y) / parts})
	}
	return o
}

// countGrain counts the grain in an area, on the same raster of samples that draws the picture.
func (s *Scene) countGrain(a *Area, v View) {
	outline := make(shape, len(a.Outline.Points))
	for i, p := range a.Outline.Points {
		outline[i] = spot{p.X, p.Y}
	}
	counts := map[*palette]*[levels]int{}
	var order []*palette // a map's own order changes, and sums with it
	total := 0
	b := outline.box()
	n := v.SamplesPerSide
	for y := math.Floor(b.y0); y < b.y1; y++ {
		for x := math.Floor(b.x0); x < b.x1; x++ {
			if !outline.contains(x+0.5, y+0.5) {
				continue
			}
			for k := range n * n {
				at := v.spot(v.sample(int(x), int(y), k))
				f, _ := s.at(at.x, at.y)
				if counts[f.palette] == nil {
					counts[f.palette] = new([levels]int)
					order = append(order, f.palette)
				}
				counts[f.palette][f.level(at.x, at.y)]++
				total++
			}
		}
	}
	for _, l := range order {
		for level, count := range counts[l] {
			if count > 0 {
				a.components = append(a.components, component{l[level], l[level].XYZ(spectra.LightD65).Y, float64(count) / float64(total)})
			}
		}
	}
	a.Lab = a.quantiles(0, 1)
	a.Figure, a.Ground = a.quantiles(0, 0.25), a.quantiles(0.75, 1)
}

// quantiles is the mean colour of the parts between two quantiles of lightness.
func (a *Area) quantiles(from, to float64) colour.Lab {
	slices.SortStableFunc(a.components, func(p, q component) int { return cmp.Compare(p.luminance, q.luminance) })
	var sum colour.XYZ
	below := 0.0
	for i := range a.components {
		p := &a.components[i]
		share := max(0, min(below+p.share, to)-max(below, from))
		below += p.share
		add(&sum, p.surface.XYZ(spectra.LightD65), share/(to-from))
	}
	return sum.Lab()
}
