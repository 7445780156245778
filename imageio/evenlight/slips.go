package evenlight

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// A Slip is a piece of paper or card without hue, at one place of a photo.
type Slip struct {
	Outline   imageio.Outline
	Lightness float64 // L*; slips of the same lightness are taken to be one sheet
}

// A SeenSlip is a slip as a photo shows it.
type SeenSlip struct {
	Slip
	patch sample.Patch
	At    imageio.Point // its middle
}

// ReadSlips reads slips. The error is that of [sample.ReadPatch] with the slip's number, from 1.
func ReadSlips(ctx context.Context, p *imageio.Photo, slips []Slip) ([]SeenSlip, error) {
	var seen []SeenSlip
	for i, s := range slips {
		patch, err := sample.ReadPatch(ctx, p, s.Outline)
		if f := fault.Of(err); f != nil {
			return nil, fault.New(f.Kind, "neutral.unusable", "number", i+1, "why", f.Note).Because(err)
		} else if err != nil {
			return nil, err
		}
		seen = append(seen, SeenSlip{s, patch, s.Outline.Centre()})
	}
	return seen, nil
}

// CheckGrey refuses slips that are not grey, and warns of those that hardly are: see [sample.CheckGrey].
func CheckGrey(ctx context.Context, p *imageio.Photo, slips []SeenSlip) (warnings []fault.Note, err error) {
	for i, s := range slips {
		doubt, err := sample.CheckGrey(ctx, p, s.patch)
		if f := fault.Of(err); f != nil {
			return nil, fault.New(f.Kind, "neutral.unusable", "number", i+1, "why", f.Note).Because(err)
		} else if err != nil {
			return nil, err
		}
		if !doubt.Empty() {
			warnings = append(warnings, fault.Say("neutral.doubtful", "number", i+1, "why", doubt))
		}
	}
	return warnings, nil
}

// A SlipLight is the light over a photo as slips of paper show it. It is an [imageio.Light].
type SlipLight struct {
	photo *imageio.Photo
	field *camera.LightField

	slips    []SeenSlip
	Warnings []fault.Note
}

// Log is that of [imageio.Light].
func (l *SlipLight) Log(at imageio.Point) float64 { return l.field.Log(place(l.photo, at)) }

// Unsure is that of [imageio.Light].
func (l *SlipLight) Unsure(at imageio.Point) float64 { return l.field.Unsure(place(l.photo, at)) }

// UnsureBetween is that of [imageio.Light].
func (l *SlipLight) UnsureBetween(a, b imageio.Point) float64 {
	return l.field.UnsureBetween(place(l.photo, a), place(l.photo, b))
}

// LeftOut is the logarithm of a slip's light over that predicted from all others; NaN where they say nothing of
// it.
func (l *SlipLight) LeftOut(i int) float64 { return l.field.LeftOut[i] }

// LightOptions says how slips tell of the light.
type LightOptions struct {
	Reference      *imageio.Point // where the photo's correction holds; default the mean of the slips
	LightnessKnown bool           // whether the slips' own lightness may be relied on; default not
}

// FitLight finds the light over a photo from slips, as the correction sees them.
func FitLight(p *imageio.Photo, slips []SeenSlip, correction *camera.Correction, opt LightOptions) *SlipLight {
	fit := camera.LightFieldOptions{SheetsKnown: opt.LightnessKnown}
	if opt.Reference != nil {
		at := place(p, *opt.Reference)
		fit.Reference = &at
	}
	spots := lightSpots(p, slips, correction)
	l := &SlipLight{photo: p, slips: slips, field: camera.FitLightField(spots, fit)}
	l.Warnings = append(oddLight(spots, fit), l.oddColours(correction)...)
	return l
}

func lightSpots(p *imageio.Photo, slips []SeenSlip, correction *camera.Correction) []camera.LightSpot {
	sheets := sheetsOf(slips)
	spots := make([]camera.LightSpot, len(slips))
	for i, s := range slips {
		seen := max(correction.Apply(s.patch.Mean).Y, 1e-4)
		spots[i] = camera.LightSpot{At: place(p, s.At), Log: math.Log(seen / luminance(s.Lightness)), Sheet: sheets[i]}
	}
	return spots
}

func luminance(lightness float64) float64 { return colour.Lab{L: lightness}.XYZ().Y }

func sheetsOf(slips []SeenSlip) []int {
	numbers := map[float64]int{}
	sheets := make([]int, len(slips))
	for i, s := range slips {
		if _, known := numbers[s.Lightness]; !known {
			numbers[s.Lightness] = len(numbers)
		}
		sheets[i] = numbers[s.Lightness]
	}
	return sheets
}

// When a slip is worth a warning. Our own choice.
const (
	oddSlipLight  = 0.10 // of luminance
	oddSlipSure   = 3.0  // standard deviations
	oddSlipColour = 5.0  // in the plane of a* and b*, at the slip's own lightness
	mostOdd       = 5    // one slip in so many may be odd: of more nobody can say which
)

// oddLight warns of slips that are lighter or darker than the others predict. An odd one makes its neighbours look odd, as it is among
// what they are held against: so the one is named without which the others agree best, and then what is still odd without it.
func oddLight(spots []camera.LightSpot, opt camera.LightFieldOptions) (warnings []fault.Note) {
	numbers := make([]int, len(spots))
	for i := range numbers {
		numbers[i] = i + 1
	}
	field := camera.FitLightField(spots, opt)
	for range max(1, len(spots)/mostOdd) {
		odd, least := -1, math.Inf(1)
		var without *camera.LightField
		for i := range spots {
			if !isOdd(field, i) {
				continue
			}
			others := camera.FitLightField(slices.Delete(slices.Clone(spots), i, i+1), opt)
			if misfit := misfitOf(others); misfit < least {
				odd, least, without = i, misfit, others
			}
		}
		if odd < 0 {
			break
		}
		miss, way := field.LeftOut[odd], "lighter"
		if miss < 0 {
			way = "darker"
		}
		warnings = append(warnings, fault.Say("neutral.odd-light", "number", numbers[odd], "share", math.Abs(math.Expm1(miss)), "way", way))
		spots, numbers, field = slices.Delete(slices.Clone(spots), odd, odd+1), slices.Delete(numbers, odd, odd+1), without
	}
	return warnings
}

// isOdd reports whether a spot is clearly off what the others predict.
func isOdd(f *camera.LightField, i int) bool {
	miss := math.Abs(f.LeftOut[i])
	return miss > oddSlipLight && miss > oddSlipSure*f.LeftOutSD[i] // NaN is not
}

// misfitOf is how badly spots agree: the mean square of what each is off the others' prediction, in its standard deviations.
func misfitOf(f *camera.LightField) (mean float64) {
	n := 0.0
	for i, miss := range f.LeftOut {
		if off := miss / f.LeftOutSD[i]; !math.IsNaN(off) {
			mean, n = mean+off*off, n+1
		}
	}
	return mean / max(n, 1)
}

// oddColours compares each slip with the middle one of its sheet, at one lightness: light
// makes paper lighter or darker, a lamp of another kind or another paper changes its colour.
func (l *SlipLight) oddColours(correction *camera.Correction) (warnings []fault.Note) {
	sheets := sheetsOf(l.slips)
	tints := make([]colour.Lab, len(l.slips))
	for i, s := range l.slips {
		c := correction.Apply(s.patch.Mean)
		tints[i] = imageio.InEvenLight(c, math.Log(max(c.Y, 1e-4)/luminance(s.Lightness))).Lab()
	}
	for i, tint := range tints {
		var a, b []float64
		for k, other := range tints {
			if k != i && sheets[k] == sheets[i] {
				a, b = append(a, other.A), append(b, other.B)
			}
		}
		if len(a) == 0 {
			continue
		}
		off := math.Hypot(tint.A-stat.Quantile(a, 0.5), tint.B-stat.Quantile(b, 0.5))
		if off > oddSlipColour {
			warnings = append(warnings, fault.Say("neutral.odd-colour", "number", i+1, "delta", off))
		}
	}
	return warnings
}

// FitSlips fits the photo's correction to slips of known lightness, and the light over the
// photo with it. What is corrected is the mean of the slips: light that differs between them
// must not be taken for a tone bend, so all slips of one lightness are one sample, and where
// there are several the light is found and taken out of the samples in turns.
func FitSlips(p *imageio.Photo, slips []SeenSlip) (*camera.Correction, camera.Report, *SlipLight, error) {
	var light *SlipLight
	for range 3 {
		samples := slipSamples(slips, light)
		correction, report, err := camera.FitAs(p.Light(), samples)
		if err != nil {
			return nil, report, nil, fault.In(fault.New(fault.Photo, "neutral.no-fit").Because(err), fault.Place{File: p.Path})
		}
		light = FitLight(p, slips, correction, LightOptions{LightnessKnown: true})
		if len(samples) == 1 {
			return correction, report, light, nil
		}
	}
	correction, report, err := camera.FitAs(p.Light(), slipSamples(slips, light))
	return correction, report, light, err
}

// White is what slips show of the light: the mean of the lightest sheet as recorded, and the colour that it is taken to have. There must
// be a slip.
func White(slips []SeenSlip) (seen colour.LinearRGB, is colour.Lab) {
	samples := slipSamples(slips, nil)
	lightest := slices.MaxFunc(samples, func(a, b camera.Sample) int { return cmp.Compare(a.Want.L, b.Want.L) })
	return lightest.Camera, lightest.Want
}

// slipSamples makes one sample of each lightness: its slips' mean as recorded, and what that
// was in the light that fell on them.
func slipSamples(slips []SeenSlip, light *SlipLight) []camera.Sample {
	type sheet struct{ red, green, blue, log, n float64 }
	sheets := map[float64]*sheet{}
	var order []float64
	for _, s := range slips {
		m := sheets[s.Lightness]
		if m == nil {
			m = &sheet{}
			sheets[s.Lightness] = m
			order = append(order, s.Lightness)
		}
		log := func(v float64) float64 { return math.Log(max(v, 1e-4)) }
		m.red, m.green, m.blue, m.n = m.red+log(s.patch.Mean.R), m.green+log(s.patch.Mean.G), m.blue+log(s.patch.Mean.B), m.n+1
		if light != nil {
			m.log += light.Log(s.At)
		}
	}
	var samples []camera.Sample
	for _, lightness := range order {
		m := sheets[lightness]
		want := imageio.InEvenLight(colour.Lab{L: lightness}.XYZ(), -m.log/m.n).Lab()
		samples = append(samples, camera.Sample{
			Name:   fmt.Sprintf("paper of L* %g", lightness),
			Camera: colour.LinearRGB{R: math.Exp(m.red / m.n), G: math.Exp(m.green / m.n), B: math.Exp(m.blue / m.n)},
			Want:   want,
		})
	}
	return samples
}
