package bench

import (
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A pigment absorbs and scatters at each wavelength, per unit of what is in a coat. Shapes are
// those of the textbooks, drawn with few numbers: iron oxides have an edge, umber and blacks
// fall off slowly, white scatters and hardly absorbs.
type pigment struct {
	absorbs, scatters func(nm float64) float64
}

// edge absorbs fully below nm and little above it, going over within width.
func edge(at, width, below, above float64) func(float64) float64 {
	return func(nm float64) float64 { return above + (below-above)/(1+math.Exp((nm-at)/width)) }
}

// fades falls by e every fall nm, from full at 400 nm.
func fades(full, fall, floor float64) func(float64) float64 {
	return func(nm float64) float64 { return floor + full*math.Exp(-(nm-400)/fall) }
}

// power scatters as a power of the wavelength: fine particles scatter the blue more.
func power(at550, exponent float64) func(float64) float64 {
	return func(nm float64) float64 { return at550 * math.Pow(nm/550, exponent) }
}

var (
	redOxide    = pigment{edge(578, 14, 2.6, 0.10), edge(600, 30, 0.20, 0.55)}
	yellowOxide = pigment{edge(512, 18, 2.2, 0.06), edge(520, 30, 0.25, 0.70)}
	umber       = pigment{fades(3.2, 170, 0.25), power(0.16, -0.3)}
	black       = pigment{fades(0.4, 300, 4.2), power(0.03, -1)}
	white       = pigment{edge(398, 6, 1.6, 0.004), power(1.9, -0.6)}
)

// A Wash is thinned paint whose film is known band by band: what one coat of it absorbs and
// scatters.
type Wash struct {
	Name   string
	Films  [spectra.Bands]blend.Film
	Making Making
}

// A recipe is parts of pigment by volume.
type recipe struct {
	name                             string
	red, yellow, umber, black, white float64
}

// recipes are washes that somebody would put on two woods to bring them together: browns and
// greys, hiding and clear. From pale to dark.
var recipes = []recipe{
	{"driftwood", 0.02, 0.14, 0.20, 0.06, 0.58},
	{"fawn", 0.08, 0.30, 0.26, 0.04, 0.32},
	{"chestnut", 0.34, 0.20, 0.30, 0.08, 0.08},
	{"nut brown", 0.16, 0.20, 0.48, 0.10, 0.06},
	{"old oak", 0.08, 0.20, 0.52, 0.18, 0.02},
}

// WashNames are the washes NewWash knows, from pale to dark.
func WashNames() []string {
	var names []string
	for _, r := range recipes {
		names = append(names, r.name)
	}
	return names
}

// NewWash mixes the wash of that name, each part a little off as nobody measures pigment
// exactly, and thins it until one coat moves pale ash or pale sapele, whichever moves more, by
// firstCoat in ΔE00. It panics if it does not know the name.
func NewWash(seed uint64, name string, firstCoat float64) *Wash {
	return Making{}.NewWash(seed, name, firstCoat)
}

// NewWash is the wash that [NewWash] mixes, whose coats make colour in this way.
func (m Making) NewWash(seed uint64, name string, firstCoat float64) *Wash {
	i := slices.IndexFunc(recipes, func(r recipe) bool { return r.name == name })
	if i < 0 {
		panic("bench: no wash is called " + name)
	}
	r, rng := recipes[i], rand.New(rand.NewPCG(seed, 0x3a54))
	parts := []float64{r.red, r.yellow, r.umber, r.black, r.white}
	for i := range parts {
		parts[i] *= math.Exp(0.15 * rng.NormFloat64())
	}
	paint := Wash{Name: r.name, Making: m}
	for band := range paint.Films {
		f := &paint.Films[band]
		for i, p := range []pigment{redOxide, yellowOxide, umber, black, white} {
			f.K += parts[i] * p.absorbs(wavelength(band))
			f.S += parts[i] * p.scatters(wavelength(band))
		}
	}
	grounds := []*spectra.Spectrum{&ash.palette(1, 1)[0], &sapele.palette(1, 1)[0]}
	return paint.moving(grounds, firstCoat)
}

// NewGlaze is a clear red-brown glaze: pigments ground so fine that they hardly scatter, thinned until one coat moves pale ash by firstCoat
// in ΔE00.
func NewGlaze(firstCoat float64) *Wash {
	const fine = 0.05 // of what they scatter in a wash
	glaze := Wash{Name: "red-brown glaze"}
	for band := range glaze.Films {
		f := &glaze.Films[band]
		for _, part := range []struct {
			of    pigment
			share float64
		}{{redOxide, 0.6}, {umber, 0.1}, {black, 0.3}} {
			f.K += part.share * part.of.absorbs(wavelength(band))
			f.S += fine * part.share * part.of.scatters(wavelength(band))
		}
	}
	return glaze.moving([]*spectra.Spectrum{&ash.palette(1, 1)[0]}, firstCoat)
}

// moving is a wash thinned until one coat moves some ground by that much, in ΔE00.
func (w *Wash) moving(grounds []*spectra.Spectrum, firstCoat float64) *Wash {
	share := solveRising(0, 4, func(share float64) float64 {
		thin, most := w.thinned(share), 0.0
		for _, ground := range grounds {
			covered := thin.Over(ground, 1)
			most = max(most, colour.DeltaE2000(ground.Lab(), covered.Lab()))
		}
		return most - firstCoat
	})
	return w.thinned(share)
}

// solveRising finds where a rising f crosses 0, by halving.
func solveRising(low, high float64, f func(float64) float64) float64 {
	for range 50 {
		mid := (low + high) / 2
		if f(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// thinned is the wash with the given share of what was in it.
func (w *Wash) thinned(share float64) *Wash {
	t := Wash{Name: w.Name, Making: w.Making}
	for band, f := range w.Films {
		t.Films[band] = blend.Film{K: share * f.K, S: share * f.S}
	}
	return &t
}

// Over is the reflectance of coats of the wash over a ground, band by band.
func (w *Wash) Over(ground *spectra.Spectrum, coats float64) spectra.Spectrum {
	var s spectra.Spectrum
	for band, f := range w.Films {
		s[band] = w.Making.over(f, ground[band], coats)
	}
	return s
}

// Opaque is the reflectance of the wash laid on until nothing shows through.
func (w *Wash) Opaque() spectra.Spectrum {
	var s spectra.Spectrum
	for band, f := range w.Films {
		s[band] = w.Making.seen(f.Limit())
	}
	return s
}

// over is a whole surface under coats of the wash.
func (w *Wash) over(l *palette, coats float64) *palette {
	var out palette
	for i := range l {
		out[i] = w.Over(&l[i], coats)
	}
	return &out
}
