package imageio

import (
	"math"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/imageio/internal/dng"
	"huewright/imageio/internal/icc"
	"huewright/internal/stat"
)

// A rawColours is how a raw photo's linear values become light: by the matrices of its file, for the light that it was taken in.
type rawColours struct {
	profile  sensor.Profile
	neutral  sensor.Neutral // what a surface without colour looks like to the sensor there
	curve    []float32      // from codes to shares of what fills the sensor
	toLinear colour.Matrix  // from these to light with the primaries of sRGB
}

// IsRaw reports whether the photo is what a sensor recorded, which no camera rendered.
func (p *Photo) IsRaw() bool { return p.raw != nil }

// dimLight is the exposure value, at a speed of 100, below which what looks like daylight may be a cool lamp: rooms are lit to 5 to 8 by
// lamps, and to more by an open door. Common practice, no source.
const dimLight = 7.5

// Light tells the kind of light that a raw photo was taken in, by the white that it is balanced for; of other photos it is
// [sensor.Rendered]. Cool lamps look like daylight, but are not as bright, which the exposure tells.
func (p *Photo) Light() sensor.Light {
	if p.raw == nil {
		return sensor.Rendered
	}
	kind := sensor.LightOf(p.raw.profile.White(p.raw.neutral))
	f := p.Facts
	if f.Exposure > 0 && f.Aperture > 0 && f.ISO > 0 {
		value := math.Log2(f.Aperture * f.Aperture / f.Exposure * 100 / float64(f.ISO))
		if kind == sensor.Daylight && value < dimLight {
			return sensor.OtherLight
		}
	}
	return kind
}

// BalancedBy returns a raw photo as it is in the light in which a surface of colour is was recorded as seen, by the same photo; its
// exposure becomes that of the surface too. Of any other photo, and where the surface was too dark to tell, it is the photo itself.
func (p *Photo) BalancedBy(seen colour.LinearRGB, is colour.Lab) *Photo {
	if p.raw == nil || !(math.Abs(p.raw.toLinear.Determinant()) > 0) {
		return p
	}
	back := p.raw.toLinear.Inverse()
	recorded, want := onSensor(&back, seen), is.XYZ()
	out, raw := *p, *p.raw
	const rounds = 4 // what a colour is to the sensor depends on the light; a grey takes one
	for range rounds {
		expected, white := onSensor(&back, want.LinearRGB()), onSensor(&back, colour.WhiteD65.LinearRGB())
		var neutral sensor.Neutral
		for k := range neutral {
			const dark = 1e-4
			if recorded[k] < dark || expected[k] < dark*want.Y {
				return p
			}
			neutral[k] = recorded[k] * white[k] / expected[k]
		}
		raw.balance(neutral, 1)
		if got := raw.light(recorded).Luminance(); got > 0 {
			raw.balance(neutral, want.Y/got)
		}
		if !(math.Abs(raw.toLinear.Determinant()) > 0) {
			return p
		}
		back = raw.toLinear.Inverse()
	}
	out.raw, out.transfer = &raw, raw.transfer()
	return &out
}

// onSensor is what light is to the sensor.
func onSensor(back *colour.Matrix, c colour.LinearRGB) [3]float64 {
	v := back.Apply(colour.XYZ{X: c.R, Y: c.G, Z: c.B})
	return [3]float64{v.X, v.Y, v.Z}
}

// light is what the sensor's values mean.
func (r *rawColours) light(v [3]float64) colour.LinearRGB {
	c := r.toLinear.Apply(colour.XYZ{X: v[0], Y: v[1], Z: v[2]})
	return colour.LinearRGB{R: c.X, G: c.Y, B: c.Z}
}

// balance takes what looks like n for neutral, and makes light stronger by a factor over that which gives white where a channel of n
// fills the sensor.
func (r *rawColours) balance(n sensor.Neutral, exposure float64) {
	top := max(n[0], n[1], n[2])
	r.neutral = sensor.Neutral{n[0] / top, n[1] / top, n[2] / top}
	toXYZ := r.profile.ToXYZ(r.neutral)
	for k := range 3 {
		c := colour.XYZ{X: toXYZ[0][k], Y: toXYZ[1][k], Z: toXYZ[2][k]}.LinearRGB()
		r.toLinear[0][k], r.toLinear[1][k], r.toLinear[2][k] = exposure*c.R, exposure*c.G, exposure*c.B
	}
}

func (r *rawColours) transfer() *icc.Transfer {
	m := r.toLinear
	return &icc.Transfer{Curves: [3][]float32{r.curve, r.curve, r.curve}, Matrix: &m}
}

// What a photo without a white of known colour is brightened to: so much of it is lighter. Raw photos are often darker than pictures are
// to be, so that highlights hold.
const (
	usualDaylight = 5500 // K, where the file says nothing of white
	brightShare   = 0.995
	brightLight   = 0.9
	mostExposure  = 16
)

// develop reads a raw photo by the white that its camera noted.
func (p *Photo) develop(picture *dng.Picture, profile sensor.Profile) {
	r := &rawColours{profile: profile, curve: make([]float32, 1<<16)}
	for code := range r.curve {
		r.curve[code] = float32(picture.Light(uint16(code)))
	}
	neutral := profile.AsShot
	if neutral == (sensor.Neutral{}) {
		neutral = profile.OfWhite(sensor.DaylightOf(usualDaylight))
	}
	r.balance(neutral, 1)
	r.balance(neutral, exposureOf(picture, r.neutral))
	p.raw, p.transfer, p.Profile = r, r.transfer(), "the file's own matrices"
	p.pixels.luma = p.pixels.rawLuma(picture, r)
}

// exposureOf makes a photo as light as photos are.
func exposureOf(picture *dng.Picture, neutral sensor.Neutral) float64 {
	const looked = 1 << 14
	pixels := picture.Width * picture.Height
	var all []float64
	for i := 0; i < pixels; i += 1 + pixels/looked {
		lightest := 0.0
		for k, code := range picture.Codes[3*i:][:3] {
			lightest = max(lightest, min(picture.Light(code), 1)/neutral[k])
		}
		all = append(all, lightest)
	}
	return min(max(brightLight/max(stat.Quantile(all, brightShare), 1e-6), 0.1), mostExposure)
}

// readRaw reads what a sensor recorded.
func (r *raster) readRaw(img *dng.Picture) {
	r.bits, r.full = 16, dng.FullCode
	r.code = func(x, y int) (uint16, uint16, uint16) {
		c := img.Codes[3*(y*img.Width+x):][:3]
		return c[0], c[1], c[2]
	}
	r.mean = func(places []Pixel) (uint16, uint16, uint16) { // codes are linear
		var sum [3]uint
		for _, at := range places {
			for k, v := range img.Codes[3*(int(at.Y)*img.Width+int(at.X)):][:3] {
				sum[k] += uint(v)
			}
		}
		n := uint(max(len(places), 1))
		return uint16((sum[0] + n/2) / n), uint16((sum[1] + n/2) / n), uint16((sum[2] + n/2) / n)
	}
}

// rawLuma is the brightness of stored pixels as a screen would show it, 0–255.
func (r *raster) rawLuma(img *dng.Picture, colours *rawColours) func(x, y int) uint8 {
	const steps = 1 << 12
	var codes [steps + 1]uint8
	for i := range codes {
		v := float64(i) / steps
		codes[i] = colour.LinearRGB{R: v, G: v, B: v}.Encode().G
	}
	var weights [3]float32
	offset := float32(0)
	for k := range weights {
		row := colour.LinearRGB{R: colours.toLinear[0][k], G: colours.toLinear[1][k], B: colours.toLinear[2][k]}.Luminance()
		weights[k] = float32(row / img.Unit * steps)
		offset -= weights[k] * dng.BlackCode
	}
	return func(x, y int) uint8 {
		c := img.Codes[3*(y*img.Width+x):][:3]
		v := weights[0]*float32(c[0]) + weights[1]*float32(c[1]) + weights[2]*float32(c[2]) + offset
		return codes[int(min(max(v, 0), steps))]
	}
}
