package bench

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Shot is a photo of a scene and the truth about it.
type Shot struct {
	JPEG          []byte
	Raw           []byte // the file of a shot that was taken raw; else nil
	Width, Height int
	Corners       [4]imageio.Point // of the chart's patch field, in the order ReadChart takes them
	Areas         []Area           // those that are wholly in the picture
	// Wholes are all that is seen of the wood of the frame, the panels and the filled corner: one or more outlines for each area.
	Wholes map[string][]imageio.Outline
}

// Area returns the area of that name. It panics if the picture does not show it.
func (s *Shot) Area(name string) *Area {
	for i := range s.Areas {
		if s.Areas[i].Name == name {
			return &s.Areas[i]
		}
	}
	panic("bench: the picture does not show " + name)
}

// Shoot takes a photo. The same scene, view and camera give the same photo again; between
// kinds of processor single pixels may differ by one level, as sums are rounded differently.
func (s *Scene) Shoot(v View, c Camera) *Shot {
	shot, err := s.ShootContext(context.Background(), v, c)
	if err != nil {
		panic("bench: " + err.Error()) // nothing ends that context
	}
	return shot
}

// ShootContext is Shoot for as long as a context goes on. The error is the context's.
func (s *Scene) ShootContext(ctx context.Context, v View, c Camera) (*Shot, error) {
	v = v.orDefault()
	shot := &Shot{Width: v.Width, Height: v.Height, Areas: s.truth(v)}
	for i, corner := range s.chart {
		shot.Corners[i] = v.pixel(corner)
	}
	shot.Wholes = map[string][]imageio.Outline{}
	for _, w := range s.wholes {
		shot.Wholes[w.name] = append(shot.Wholes[w.name], v.outline(w.shape, 100))
	}
	film, err := s.expose(ctx, v, &c, newSensor(&c))
	if err != nil {
		return nil, err
	}
	film.flare(c.Flare)
	if err := film.soften(ctx, c.Blur); err != nil {
		return nil, err
	}
	if shot.JPEG, err = film.encode(ctx, &c); err != nil {
		return nil, err
	}
	return shot, nil
}

// A film is linear light on the sensor, three numbers a pixel.
type film struct {
	wide, high int
	light      []float32
}

func (s *Scene) expose(ctx context.Context, v View, c *Camera, sees *sensor) (*film, error) {
	colours := map[*palette]*[levels]rgb{}
	for _, f := range s.surfaces {
		if colours[f.palette] == nil {
			colours[f.palette] = new([levels]rgb)
			for i := range f.palette {
				colours[f.palette][i] = sees.picture(&f.palette[i])
			}
		}
	}
	lamp := sees.gain.times(&sees.toSRGB)
	out := &film{v.Width, v.Height, make([]float32, 3*v.Width*v.Height)}
	n, heights := v.SamplesPerSide, s.heights()
	if err := parallel.For(ctx, v.Height, func(y int) {
		for x := range v.Width {
			var sum rgb
			var last *surface
			var light, sheen float64 // change too slowly to be worked out for each sample
			for k := range n * n {
				f, here, at := s.met(v, v.sample(x, y, k), heights)
				if f != last {
					last, light, sheen = f, s.light(f, here, at.x, at.y), f.thrownBack(at.x, at.y)
				}
				px := &colours[f.palette][f.level(at.x, at.y)]
				for i := range sum {
					sum[i] += light*px[i] + sheen*lamp[i]
				}
			}
			even := c.evenness(float64(x)/float64(v.Width), float64(y)/float64(v.Height)) / float64(n*n)
			for i := range sum {
				out.light[3*(y*v.Width+x)+i] = float32(even * sum[i])
			}
		}
	}); err != nil {
		return nil, err
	}
	return out, nil
}

// evenness is the light at a place on the picture, given from 0 to 1 each way; 1 at most.
func (c *Camera) evenness(x, y float64) float64 {
	sin, cos := math.Sincos(c.Towards * math.Pi / 180)
	x, y = x-0.5, y-0.5
	along := (x*cos+y*sin)/(math.Abs(cos)+math.Abs(sin)) + 0.5
	return (1 - c.Gradient*along) * (1 - c.Vignette*2*(x*x+y*y))
}

// flare spreads a share of all light evenly.
func (f *film) flare(share float64) {
	var mean [3]float64
	for i, v := range f.light {
		mean[i%3] += float64(v)
	}
	for k := range mean {
		mean[k] *= share / float64(len(f.light)/3)
	}
	for i := range f.light {
		f.light[i] = float32((1-share)*float64(f.light[i]) + mean[i%3])
	}
}

// soften gives a share of each pixel to its neighbours, left and right, then up and down.
func (f *film) soften(ctx context.Context, share float64) error {
	if share == 0 {
		return nil
	}
	across := make([]float32, len(f.light))
	spread := func(dst, src []float32, i, before, after int) {
		dst[i] = float32(share)*(src[before]+src[after]) + float32(1-2*share)*src[i]
	}
	row := 3 * f.wide
	if err := parallel.For(ctx, f.high, func(y int) {
		for i := y * row; i < (y+1)*row; i++ {
			spread(across, f.light, i, max(i-3, y*row+i%3), min(i+3, (y+1)*row-3+i%3))
		}
	}); err != nil {
		return err
	}
	return parallel.For(ctx, f.high, func(y int) {
		for i := y * row; i < (y+1)*row; i++ {
			spread(f.light, across, i, i-row*min(y, 1), i+row*min(f.high-1-y, 1))
		}
	})
}

// encode adds the sensor's noise, renders, sharpens and writes the JPEG.
func (f *film) encode(ctx context.Context, c *Camera) ([]byte, error) {
	r := newRendering(c)
	encoded := make([]float32, len(f.light))
	if err := parallel.For(ctx, f.high, func(y int) {
		rng := rand.New(rand.NewPCG(c.Seed, uint64(y)))
		for x := range f.wide {
			at := 3 * (y*f.wide + x)
			var px rgb
			for k := range px {
				v := float64(f.light[at+k])
				px[k] = v + rng.NormFloat64()*(c.Read+c.Shot*math.Sqrt(max(v, 0)))
			}
			px = r.pixel(px)
			for k := range px {
				encoded[at+k] = float32(px[k])
			}
		}
	}); err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, f.wide, f.high))
	if err := parallel.For(ctx, f.high, func(y int) {
		for x := range f.wide {
			at := 3 * (y*f.wide + x)
			edge := c.Sharpen * f.detail(encoded, x, y)
			o := img.PixOffset(x, y)
			for k := range 3 {
				img.Pix[o+k] = uint8(255*clamp01(float64(encoded[at+k])+edge) + 0.5)
			}
			img.Pix[o+3] = 255
		}
	}); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: c.Quality}); err != nil {
		panic("bench: " + err.Error()) // a buffer takes all that is written
	}
	return out.Bytes(), nil
}

// detail is how much brighter a pixel is than the four about it.
func (f *film) detail(encoded []float32, x, y int) float64 {
	if x == 0 || y == 0 || x == f.wide-1 || y == f.high-1 {
		return 0
	}
	luma := func(x, y int) float64 {
		at := 3 * (y*f.wide + x)
		return 0.25*float64(encoded[at]) + 0.6*float64(encoded[at+1]) + 0.15*float64(encoded[at+2])
	}
	return luma(x, y) - (luma(x-1, y)+luma(x+1, y)+luma(x, y-1)+luma(x, y+1))/4
}
