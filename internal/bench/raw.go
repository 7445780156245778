package bench

import (
	"context"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/camera"
	sensors "huewright/colour/sensor"
	"huewright/colour/spectra"
	"huewright/imageio"
	"huewright/internal/rawfile"
)

// rawBits is how finely a drawn sensor digitises, rawBlack the code of no light, and rawShare the share of the exposure of a JPEG that it
// gets, so that highlights hold.
const (
	rawBits  = 14
	rawBlack = 512
	rawShare = 0.7
)

// ShootRaw is [Scene.Shoot] of a raw photo, a mosaic of twice the width and height: what the camera's sensor sees, with the lens's
// vignette in a gain map, and nothing rendered. The profile is what its maker says of the sensor.
func (s *Scene) ShootRaw(v View, c Camera, profile *sensors.Profile) *Shot {
	shot, err := s.shootRaw(context.Background(), v.orDefault(), c, profile)
	if err != nil {
		panic("bench: " + err.Error()) // nothing ends that context
	}
	return shot
}

func (s *Scene) shootRaw(ctx context.Context, v View, c Camera, profile *sensors.Profile) (*Shot, error) {
	shot := &Shot{Width: v.Width, Height: v.Height, Areas: s.truth(v)}
	for i, corner := range s.chart {
		shot.Corners[i] = v.pixel(corner)
	}
	shot.Wholes = map[string][]imageio.Outline{}
	sees := newSensor(&c)
	sees.toSRGB = [3]rgb{{1}, {0, 1}, {0, 0, 1}}
	sees.gain = rgb{rawShare * c.Exposure, rawShare * c.Exposure, rawShare * c.Exposure}
	film, err := s.expose(ctx, v, &c, sees)
	if err != nil {
		return nil, err
	}
	film.flare(c.Flare)
	if err := film.soften(ctx, c.Blur); err != nil {
		return nil, err
	}
	shot.Raw = film.mosaic(&c, profile)
	return shot, nil
}

// MakersProfile is what the maker of a camera's sensor says of it in daylight of 6504 K, by least squares over the chart.
func MakersProfile(c Camera) (p sensors.Profile) {
	c.Lamp = Daylight(6504)
	neutral := c.neutralOf()
	sees := newSensor(&c)
	chart := camera.Chart24(camera.Since2014)
	var seen, recorded [][3]float64
	for _, patch := range chart {
		spectrum := spectra.Smoothest(patch.Lab)
		raw, xyz := sees.raw(&spectrum), patch.Lab.XYZ()
		seen = append(seen, [3]float64{xyz.X, xyz.Y, xyz.Z})
		recorded = append(recorded, [3]float64{raw[0] * neutral[0], raw[1] * neutral[1], raw[2] * neutral[2]})
	}
	p.Calibrations[0].Kelvin, p.Calibrations[0].Matrix = 6500, solveMatrix(seen, recorded)
	return p
}

// solveMatrix is the m with m·from ≈ to by least squares.
func solveMatrix(from, to [][3]float64) (m colour.Matrix) {
	a, b := mat.NewDense(len(from), 3, nil), mat.NewDense(len(from), 3, nil)
	for i := range from {
		a.SetRow(i, from[i][:])
		b.SetRow(i, to[i][:])
	}
	var x mat.Dense
	if err := x.Solve(a, b); err != nil {
		panic("bench: the colours do not tell the sensor's channels apart: " + err.Error())
	}
	for i := range m {
		for k := range m {
			m[i][k] = x.At(k, i)
		}
	}
	return m
}

// neutralOf is what a white surface looks like to the sensor under its lamp, the largest channel 1.
func (c *Camera) neutralOf() (n sensors.Neutral) {
	for band, power := range c.Lamp.power {
		for k, v := range c.sensitivity(band) {
			n[k] += power * v
		}
	}
	top := max(n[0], n[1], n[2])
	return sensors.Neutral{n[0] / top, n[1] / top, n[2] / top}
}

// mosaic digitises the film, four samples for each of its pixels, with noise of their own.
func (f *film) mosaic(c *Camera, profile *sensors.Profile) []byte {
	neutral := c.neutralOf()
	p := rawfile.Photo{
		Wide: 2 * f.wide, High: 2 * f.high, Bits: rawBits, Pattern: [4]byte{1, 0, 2, 1}, Samples: make([]uint16, 4*f.wide*f.high),
		Black: []float64{rawBlack}, White: []int{1<<rawBits - 1}, TileWide: 256, TileHigh: 256, Lossless: &rawfile.Lossless{},
		Maker: "drawn",
	}
	for k := range 3 {
		p.Neutral = append(p.Neutral, neutral[k]/c.Balance[k])
	}
	for i, known := range profile.Calibrations {
		if known.Kelvin == 0 {
			continue
		}
		if p.Lights[i] = 21; known.Kelvin < 4000 { // D65, or standard light A
			p.Lights[i] = 17
		}
		for row := range 3 {
			p.Matrices[i] = append(p.Matrices[i], known.Matrix[row][:]...)
			if known.Forward != ([3][3]float64{}) {
				p.Forward[i] = append(p.Forward[i], known.Forward[row][:]...)
			}
		}
	}
	const whole = 1<<rawBits - 1 - rawBlack
	for y := range p.High {
		rng := rand.New(rand.NewPCG(c.Seed, uint64(y)))
		for x := range p.Wide {
			k := p.Pattern[2*(y%2)+x%2]
			v := float64(f.light[3*(y/2*f.wide+x/2)+int(k)])
			v = neutral[k]*v + rng.NormFloat64()*(c.Read+c.Shot*math.Sqrt(max(neutral[k]*v, 0)))
			p.Samples[y*p.Wide+x] = uint16(min(max(v*whole+rawBlack+0.5, 0), 1<<rawBits-1))
		}
	}
	gains := make([]float32, 0, 17*13)
	for j := range 13 {
		for i := range 17 {
			x, y := float64(i)/16-0.5, float64(j)/12-0.5
			gains = append(gains, float32(1/(1-c.Vignette*2*(x*x+y*y))))
		}
	}
	for i := range 4 {
		p.Stored = append(p.Stored, rawfile.GainMap{
			Top: i / 2, Left: i % 2, Bottom: p.High, Right: p.Wide, Planes: 1, RowPitch: 2, ColumnPitch: 2,
			High: 13, Wide: 17, SpaceV: 1.0 / 12, SpaceH: 1.0 / 16, Each: 1, Gains: gains,
		})
	}
	return p.Bytes()
}
