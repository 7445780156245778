package sample

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// partsOf is what is said of the parts of an area of 116 × 116 pixels.
func partsOf(light func(x, y int) colour.LinearRGB) fault.Code {
	var at []imageio.Pixel
	var xyz []colour.XYZ
	for i := range swatchSide * swatchSide {
		x, y := i%swatchSide, i/swatchSide
		at, xyz = append(at, imageio.Pixel{X: int32(x), Y: int32(y)}), append(xyz, light(x, y).XYZ())
	}
	return parts(at, xyz).Code
}

// ramp is light that changes evenly by a factor from one side to the other.
func ramp(x, y int, towards, log float64) float64 {
	sin, cos := math.Sincos(towards)
	return math.Exp(log * ((float64(x)/swatchSide-0.5)*cos + (float64(y)/swatchSide-0.5)*sin))
}

func times(k float64, c colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: k * c.R, G: k * c.G, B: k * c.B}
}

func TestTwoWoodsDrawn(t *testing.T) {
	grain := imagetest.NewGrain(5, swatchSide, swatchSide, 1, 20)
	oak := func(x, y int) colour.LinearRGB { return imagetest.Oak(grain.At(x, y)) }
	walnut := func(x, y int) colour.LinearRGB {
		c := oak(x, y)
		return colour.LinearRGB{R: 0.35 * c.R, G: 0.28 * c.G, B: 0.3 * c.B}
	}
	for name, c := range map[string]struct {
		light func(x, y int) colour.LinearRGB
		code  fault.Code
	}{
		"one wood":          {oak, ""},
		"in uneven light":   {func(x, y int) colour.LinearRGB { return times(ramp(x, y, 0.4, 0.9), oak(x, y)) }, ""},
		"in a lamp's light": {func(x, y int) colour.LinearRGB { return times(1/(1+math.Hypot(float64(x), float64(y))/80), oak(x, y)) }, ""},
		"a shadow's edge": {func(x, y int) colour.LinearRGB {
			if x+y < 100 {
				return times(0.5, oak(x, y))
			}
			return oak(x, y)
		}, "area.two-parts"},
		"two woods": {func(x, y int) colour.LinearRGB {
			if y < 40 {
				return walnut(x, y)
			}
			return oak(x, y)
		}, "area.two-woods"},
		"two woods in uneven light": {func(x, y int) colour.LinearRGB {
			if y < 40 {
				return times(ramp(x, y, 1, 0.6), walnut(x, y))
			}
			return times(ramp(x, y, 1, 0.6), oak(x, y))
		}, "area.two-woods"},
	} {
		require.Equal(t, c.code, partsOf(c.light), name)
	}
}

const swatchSide = 116

// realWoods are the swatches of two sheets of woods and floors that are of one board or pattern all over: those for choosing constants, and
// the others for figures.
func realWoods(t *testing.T) (chosenOn, others [][]colour.LinearRGB) {
	t.Helper()
	sheet, err := imageio.Open(t.Context(), fixture.NeedShared(t, "wood/ambientcg/Wood.webp")[0])
	require.NoError(t, err)
	for i := range 7 * (sheet.Height / 176) {
		s := make([]colour.LinearRGB, swatchSide*swatchSide)
		whole := true
		for k := range s {
			s[k] = sheet.Linear(22+144*(i%7)+k%swatchSide, 22+176*(i/7)+k/swatchSide)
			whole = whole && min(s[k].R, s[k].G, s[k].B) < 0.9
		}
		switch {
		case !whole: // part of the page shows
		case i < 26:
			chosenOn = append(chosenOn, s)
		default:
			others = append(others, s)
		}
	}
	return chosenOn, others
}

func TestTwoWoodsOnRealWood(t *testing.T) {
	tune, woods := realWoods(t)
	count := func(seed uint64, woods [][]colour.LinearRGB, key string) {
		rng := rand.New(rand.NewPCG(seed, 2))
		said := map[string]map[fault.Code]int{}
		see := func(what string, light func(x, y int) colour.LinearRGB) {
			if said[what] == nil {
				said[what] = map[fault.Code]int{}
			}
			said[what][partsOf(light)]++
			said[what]["all"]++
		}
		for i, s := range woods {
			wood := func(x, y int) colour.LinearRGB { return s[y*swatchSide+x] }
			see("as it is", wood)
			towards, log := 2*math.Pi*rng.Float64(), 0.3+0.7*rng.Float64()
			see("ramp", func(x, y int) colour.LinearRGB { return times(ramp(x, y, towards, log), wood(x, y)) })
			edge, left := 30+rng.IntN(50), 0.35+0.3*rng.Float64()
			see("shadow", func(x, y int) colour.LinearRGB {
				if x < edge {
					c := times(left, wood(x, y))
					return colour.LinearRGB{R: 0.97 * c.R, G: c.G, B: 1.05 * c.B}
				}
				return wood(x, y)
			})
			for k, o := range woods {
				other := func(x, y int) colour.LinearRGB { return o[y*swatchSide+x] }
				if k == i || rng.IntN(len(woods)) > 3 || colour.DeltaE2000(meanOf(s), meanOf(o)) < 8 {
					continue
				}
				line := 30 + rng.IntN(50)
				see("two woods", func(x, y int) colour.LinearRGB {
					if y < line {
						return times(ramp(x, y, towards, 0.3), wood(x, y))
					}
					return times(ramp(x, y, towards, 0.3), other(x, y))
				})
			}
		}
		for what, codes := range said {
			t.Log(key, what, codes)
		}
		n := func(what string, codes ...fault.Code) (sum int) {
			for _, c := range codes {
				sum += said[what][c]
			}
			return sum
		}
		if key == "" {
			return
		}
		figure.Report(t, key+"/one wood", "%d of %d", n("as it is", ""), n("as it is", "all"))
		figure.Report(t, key+"/uneven light", "%d of %d", n("ramp", ""), n("ramp", "all"))
		figure.Report(t, key+"/shadow no wood", "%d of %d", n("shadow", "all")-n("shadow", "area.two-woods"), n("shadow", "all"))
		figure.Report(t, key+"/two woods", "%d of %d", n("two woods", "area.two-woods"), n("two woods", "all"))
		figure.Report(t, key+"/two woods or parts", "%d of %d", n("two woods", "area.two-woods", "area.two-parts"), n("two woods", "all"))
		require.GreaterOrEqual(t, 20*n("ramp", ""), 19*n("ramp", "all"))
		require.GreaterOrEqual(t, 10*n("two woods", "area.two-woods", "area.two-parts"), 9*n("two woods", "all"))
	}
	count(101, tune, "")
	count(921, woods, "woods")
}

func meanOf(s []colour.LinearRGB) colour.Lab {
	var m colour.LinearRGB
	for _, c := range s {
		k := 1 / float64(len(s))
		m = colour.LinearRGB{R: m.R + k*c.R, G: m.G + k*c.G, B: m.B + k*c.B}
	}
	return m.Lab()
}
