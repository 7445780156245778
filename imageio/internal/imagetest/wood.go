package imagetest

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// Picture16 is a picture of 16 bits made from the light at each pixel.
func Picture16(width, height int, light func(x, y int) colour.LinearRGB) *image.NRGBA64 {
	img := image.NewNRGBA64(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := light(x, y)
			img.SetNRGBA64(x, y, color.NRGBA64{encode16(c.R), encode16(c.G), encode16(c.B), 0xffff})
		}
	}
	return img
}

func encode16(v float64) uint16 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint16(math.Round(v * 65535))
}

// Grain is a field of mean 0 and sd about 1, alike over the given distances.
type Grain struct {
	acrossX, acrossY int
	columns          int
	knots            []float64
}

// NewGrain draws the grain of a picture of a given size.
func NewGrain(seed uint64, width, height, acrossX, acrossY int) Grain {
	rng := rand.New(rand.NewPCG(seed, 7))
	g := Grain{acrossX, acrossY, width/acrossX + 2, make([]float64, (width/acrossX+2)*(height/acrossY+2))}
	for i := range g.knots {
		g.knots[i] = 1.5 * rng.NormFloat64() // interpolation takes a third of the sd away
	}
	return g
}

// At is the grain at a pixel.
func (g Grain) At(x, y int) float64 {
	cx, cy := x/g.acrossX, y/g.acrossY
	fx, fy := float64(x%g.acrossX)/float64(g.acrossX), float64(y%g.acrossY)/float64(g.acrossY)
	k := func(dx, dy int) float64 { return g.knots[(cy+dy)*g.columns+cx+dx] }
	return (1-fy)*((1-fx)*k(0, 0)+fx*k(1, 0)) + fy*((1-fx)*k(0, 1)+fx*k(1, 1))
}

// Oak is the light of a made-up wood: grain moves it along the line that wood varies along,
// lighter and yellower against darker and redder.
func Oak(g float64) colour.LinearRGB {
	return colour.Lab{L: 62 + 4*g, A: 9 - 0.6*g, B: 26 + 1.2*g}.LinearRGB()
}

// TwelveMegapixels is a phone's photo of wood, as JPEG.
var TwelveMegapixels = sync.OnceValue(func() []byte {
	const width, height = 4032, 3024
	g := NewGrain(11, width, height, 9, 300)
	noise := NewGrain(12, 512, 512, 1, 1)
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := Oak(g.At(x, y)/2 + noise.At(x%500, y%500)/8).Encode()
			img.SetRGBA(x, y, color.RGBA{c.R, c.G, c.B, 255})
		}
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, img, &jpeg.Options{Quality: 92}); err != nil {
		panic(err)
	}
	return file.Bytes()
})

// DecodingTime is the shortest of five times that the standard library takes to decode a JPEG, which benchmarks are compared with.
func DecodingTime(t testing.TB, data []byte) time.Duration {
	t.Helper()
	shortest := time.Duration(math.MaxInt64)
	for range 5 {
		start := time.Now()
		_, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		shortest = min(shortest, time.Since(start))
	}
	return shortest
}
