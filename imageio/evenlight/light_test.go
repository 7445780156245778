package evenlight_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/evenlight"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/sample"
	"huewright/internal/fault"
)

const litWidth, litHeight = 600, 400

// lampLog is a lamp to the right and above: no polynomial.
func lampLog(x, y float64) float64 {
	u, v := x/litWidth-1.5, y/litHeight+0.7
	return -0.5 * math.Log(u*u+v*v+0.5)
}

// drawLit draws one grey all over, in the lamp's light, with spoil over parts of it.
func drawLit(t *testing.T, reflectance float64, spoil func(x, y int) float64) *imageio.Photo {
	t.Helper()
	img := image.NewNRGBA64(image.Rect(0, 0, litWidth, litHeight))
	for y := range litHeight {
		for x := range litWidth {
			v := reflectance * math.Exp(lampLog(float64(x)+0.5, float64(y)+0.5)) * spoil(x, y)
			e := uint16(65535 * encodeSRGB(v))
			img.SetNRGBA64(x, y, color.NRGBA64{R: e, G: e, B: e, A: 65535})
		}
	}
	return decodeLit(t, img)
}

func decodeLit(t *testing.T, img image.Image) *imageio.Photo {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, img))
	photo, err := imageio.Decode(t.Context(), file.Bytes(), "lit.png")
	require.NoError(t, err)
	return photo
}

func encodeSRGB(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func clean(_, _ int) float64 { return 1 }

func atItsWord(t *testing.T) *camera.Correction {
	t.Helper()
	c, _, err := camera.Fit(nil)
	require.NoError(t, err)
	return c
}

// The sheet's light is found to 0.01 whatever its exposure and size, with a nail and a hand's
// shadow in it.
func TestReadFlat(t *testing.T) {
	nail := func(x, y int) float64 {
		if x > 300 && x < 330 && y > 100 && y < 130 {
			return 0.3
		}
		return 1
	}
	photo := drawLit(t, 0.3, clean)
	at := imageio.Point{X: 80, Y: 300}
	for _, reflectance := range []float64{0.5, 0.2} {
		flat, err := evenlight.ReadFlatField(t.Context(), photo, drawLit(t, reflectance, nail), atItsWord(t), at)
		require.NoError(t, err)
		require.InDelta(t, 0, flat.Log(at), 1e-12)
		for x := 20.0; x < litWidth; x += 80 {
			for y := 20.0; y < litHeight; y += 60 {
				require.InDelta(t, lampLog(x, y)-lampLog(at.X, at.Y), flat.Log(imageio.Point{X: x, Y: y}), 0.01)
			}
		}
		// Evened, the grey is the same all over.
		var first colour.Lab
		for i, o := range []imageio.Outline{imageio.Rect(20, 20, 60, 60), imageio.Rect(500, 20, 60, 60), imageio.Rect(500, 320, 60, 60)} {
			r, err := sample.Read(t.Context(), photo, o, atItsWord(t), sample.Options{Light: flat})
			require.NoError(t, err)
			require.Greater(t, r.Systematic, atItsWord(t).PlusMinus(r.Mean))
			if i == 0 {
				first = r.Mean
			}
			require.Less(t, colour.DeltaE2000(first, r.Mean), 0.3)
		}
	}
}

func TestReadFlatRefuses(t *testing.T) {
	photo := drawLit(t, 0.3, clean)
	for code, flat := range map[fault.Code]*imageio.Photo{
		"blank.not-blank": drawLit(t, 0.3, func(x, y int) float64 {
			if (x/75+y/100)%2 == 0 {
				return 0.7
			}
			return 1
		}),
		"blank.burnt-out":   drawLit(t, 1.4, clean),
		"blank.other-shape": decodeLit(t, image.NewGray(image.Rect(0, 0, 300, 300))),
	} {
		_, err := evenlight.ReadFlatField(t.Context(), photo, flat, atItsWord(t), imageio.Point{})
		imagetest.RequireFault(t, err, code)
	}
}

// sixSlips are slips of one paper along the upper and the lower edge of a photo.
func sixSlips() (slips []evenlight.Slip) {
	for _, at := range [][2]float64{{20, 20}, {540, 20}, {540, 340}, {20, 340}, {280, 20}, {280, 340}} {
		slips = append(slips, evenlight.Slip{Outline: imageio.Rect(at[0], at[1], 40, 40), Lightness: 94})
	}
	return slips
}

// A slip in a shadow, or of paler paper, is named, and none of those that it makes look odd, with how far it is off what the others
// predict.
func TestOddSlipsAreNamed(t *testing.T) {
	many := sixSlips()
	for _, x := range []float64{150, 410} {
		for _, y := range []float64{20, 180, 340} {
			many = append(many, evenlight.Slip{Outline: imageio.Rect(x, y, 40, 40), Lightness: 94})
		}
	}
	for way, factor := range map[string]float64{"darker": 0.6, "lighter": 1.5} {
		for _, slips := range [][]evenlight.Slip{sixSlips(), many} {
			photo := drawLit(t, 0.3, func(x, y int) float64 {
				if x >= 260 && x < 340 && y < 80 { // the fifth
					return factor
				}
				return 1
			})
			seen, err := evenlight.ReadSlips(t.Context(), photo, slips)
			require.NoError(t, err)
			light := evenlight.FitLight(photo, seen, atItsWord(t), evenlight.LightOptions{})
			require.Len(t, light.Warnings, 1, "%s, %d slips", way, len(slips))
			values := light.Warnings[0].Values
			require.Equal(t, []any{5, way}, []any{values["number"], values["way"]}, "%d slips", len(slips))
			require.InDelta(t, math.Abs(factor-1), values["share"], 0.15)
		}
	}
}

// Slips of one paper tell the light between them without their lightness being known.
func TestFitLightBySlips(t *testing.T) {
	photo := drawLit(t, 0.4, clean)
	seen, err := evenlight.ReadSlips(t.Context(), photo, sixSlips())
	require.NoError(t, err)
	chart := imageio.Point{X: 100, Y: 200}
	light := evenlight.FitLight(photo, seen, atItsWord(t), evenlight.LightOptions{Reference: &chart})
	require.Empty(t, light.Warnings)
	for x := 30.0; x < litWidth; x += 60 {
		for y := 30.0; y < litHeight; y += 60 {
			require.InDelta(t, lampLog(x, y)-lampLog(chart.X, chart.Y), light.Log(imageio.Point{X: x, Y: y}), 0.06)
		}
	}
	found, left := evenlight.Unevenness(light, []imageio.Point{{X: 20, Y: 20}, {X: 580, Y: 380}})
	require.InDelta(t, 1-math.Exp(lampLog(20, 380)-lampLog(580, 20)), found, 0.05)
	require.Less(t, left, 0.05)

	_, err = evenlight.ReadSlips(t.Context(), photo, []evenlight.Slip{{Outline: imageio.Rect(20, 20, 4, 4)}})
	f := imagetest.RequireFault(t, err, "neutral.unusable")
	require.Equal(t, 1, f.Values["number"])
	require.Equal(t, fault.Code("area.small-card"), f.Values["why"].(fault.Note).Code)
}

// Two papers of other lightness in light that differs: the gains and the bend are those of even
// light, as the light between slips of one lightness is known.
func TestFitSlipsOfTwoLightnesses(t *testing.T) {
	paper, card := colour.Lab{L: 80}.XYZ().Y, colour.Lab{L: 50}.XYZ().Y
	photo := drawLit(t, 0.6*paper, func(x, _ int) float64 {
		if x/60%2 == 1 {
			return card / paper
		}
		return 1
	})
	var slips []evenlight.Slip
	for i := range 10 {
		lightness := []float64{80, 50}[i%2]
		for _, y := range []float64{20, 340} {
			slips = append(slips, evenlight.Slip{Outline: imageio.Rect(60*float64(i)+10, y, 40, 40), Lightness: lightness})
		}
	}
	seen, err := evenlight.ReadSlips(t.Context(), photo, slips)
	require.NoError(t, err)
	correction, _, light, err := evenlight.FitSlips(photo, seen)
	require.NoError(t, err)
	require.Empty(t, light.Warnings)
	for i := range 10 {
		r, err := sample.Read(t.Context(), photo, imageio.Rect(60*float64(i)+10, 180, 40, 40), correction, sample.Options{Light: light})
		require.NoError(t, err)
		require.InDelta(t, []float64{80, 50}[i%2], r.Mean.L, 2)
	}
}
