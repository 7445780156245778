package imageio

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/fixture"
	"huewright/internal/rawfile"
)

// rawMatrix is from XYZ to a sensor, such as makers give; from memory.
var rawMatrix = colour.Matrix{{0.70, -0.25, -0.07}, {-0.45, 1.27, 0.20}, {-0.10, 0.20, 0.60}}

// rawOf is a mosaic of 40 × 30 in daylight, left half white paper, right half of a colour, and the neutral that its camera noted.
func rawOf(right colour.XYZ, neutral []float64) rawfile.Photo {
	p := rawfile.Photo{
		Wide: 40, High: 30, Bits: 14, Pattern: [4]byte{0, 1, 1, 2}, Black: []float64{500}, White: []int{16000}, Neutral: neutral,
		Lights: [2]int{21}, Matrices: [2][]float64{slices.Concat(rawMatrix[0][:], rawMatrix[1][:], rawMatrix[2][:])}, Maker: "drawn",
	}
	white := colour.WhiteOf(0.3200, 0.3350)
	toLight := colour.Adaptation(colour.WhiteD65, white)
	paper := toLight.Apply(colour.Lab{L: 94}.XYZ())
	wood := toLight.Apply(right)
	for i := range 40 * 30 {
		c := rawMatrix.Apply(paper)
		if i%40 >= 20 {
			c = rawMatrix.Apply(wood)
		}
		v := [3]float64{c.X, c.Y, c.Z}[p.Pattern[2*(i/40%2)+i%40%2]]
		p.Samples = append(p.Samples, uint16(500+0.3*15500*v+0.5))
	}
	return p
}

// A raw photo is linear: whatever the exposure and the white that the camera noted, paper of known lightness brings a colour out, but
// for what colours like wood are off by on average.
func TestRawPhotoBalancedByPaper(t *testing.T) {
	wood := colour.Lab{L: 60, A: 12, B: 25}
	for name, neutral := range map[string][]float64{"as it was": {0.5, 1, 0.7}, "far off": {0.9, 0.8, 0.4}, "none": nil} {
		p := rawOf(wood.XYZ(), neutral)
		photo, err := Decode(t.Context(), p.Bytes(), "photo")
		require.NoError(t, err, name)
		require.Equal(t, "DNG", photo.Format)
		require.Equal(t, [2]int{20, 15}, [2]int{photo.Width, photo.Height})
		require.True(t, photo.IsRaw())
		balanced := photo.BalancedBy(photo.Linear(3, 5), colour.Lab{L: 94})
		require.Equal(t, sensor.Daylight, balanced.Light())
		require.InDelta(t, 0, colour.DeltaE2000(colour.Lab{L: 94}, balanced.Linear(3, 5).XYZ().Lab()), 0.05, name)
		require.InDelta(t, 0, colour.DeltaE2000(wood, balanced.Linear(15, 5).XYZ().Lab()), 2.0, name)
		require.NotEqual(t, photo.Linear(15, 5), balanced.Linear(15, 5))
		byWood := photo.BalancedBy(photo.Linear(15, 5), wood) // any colour does that is known; what wood is off by grows with lightness
		require.InDelta(t, 0, colour.DeltaE2000(colour.Lab{L: 94}, byWood.Linear(3, 5).XYZ().Lab()), 5.0, name)
	}
	jpeg, err := Decode(t.Context(), imagetest.SmallJPEG(t), "photo")
	require.NoError(t, err)
	require.Same(t, jpeg, jpeg.BalancedBy(jpeg.Linear(0, 0), colour.Lab{L: 94}))
	require.Equal(t, sensor.Rendered, jpeg.Light())
}

// The mean of the pixels of an area is the mean of linear light, upright as the file says.
func TestRawPhotoIsUprightAndLinear(t *testing.T) {
	p := rawOf(colour.Lab{L: 60, A: 12, B: 25}.XYZ(), []float64{0.5, 1, 0.7})
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range p.Samples {
		p.Samples[i] += uint16(rng.IntN(400))
	}
	stored, err := Decode(t.Context(), p.Bytes(), "photo")
	require.NoError(t, err)
	p.Orientation = 6
	turned, err := Decode(t.Context(), p.Bytes(), "photo")
	require.NoError(t, err)
	require.Equal(t, [2]int{15, 20}, [2]int{turned.Width, turned.Height})
	require.Equal(t, stored.Linear(2, 14-4), turned.Linear(4, 2))

	set, err := stored.Gather(t.Context(), Rect(1, 1, 6, 6).Spans(20, 15), 1000)
	require.NoError(t, err)
	var mean colour.LinearRGB
	for _, c := range set.Light {
		mean = colour.LinearRGB{R: mean.R + c.R/36, G: mean.G + c.G/36, B: mean.B + c.B/36}
	}
	var sums [3]float64
	for y := 2; y < 14; y++ {
		for x := 2; x < 14; x++ {
			k := p.Pattern[2*(y%2)+x%2]
			sums[k] += (float64(p.Samples[40*y+x]) - 500) / 15500 / 36 / [3]float64{1, 2, 1}[k]
		}
	}
	want := stored.raw.light(sums)
	require.InDelta(t, want.R, mean.R, 1e-3*want.R)
	require.InDelta(t, want.G, mean.G, 1e-3*want.G)
	require.InDelta(t, want.B, mean.B, 1e-3*want.B)
}

// The small pictures that finders look at are as bright as on a screen, and what the sensor could not hold counts as clipped.
func TestRawPhotoForFinders(t *testing.T) {
	p := rawOf(colour.Lab{L: 60, A: 12, B: 25}.XYZ(), []float64{0.5, 1, 0.7})
	p.Samples[40*11+31] = 16000
	photo, err := Decode(t.Context(), p.Bytes(), "photo")
	require.NoError(t, err)
	wide, high, codes, err := photo.Brightness(t.Context(), 5)
	require.NoError(t, err)
	require.Equal(t, [2]int{4, 3}, [2]int{wide, high})
	shown := photo.Linear(3, 3)
	require.InDelta(t, float64(colour.LinearRGB{R: shown.Luminance(), G: shown.Luminance(), B: shown.Luminance()}.Encode().G),
		float64(codes[0]), 2)
	require.Greater(t, codes[0], uint8(220))
	require.Less(t, codes[3], codes[0])
	_, of := photo.MeanRootCodes(1)
	r, g, b := of([]Pixel{{3, 3}, {4, 3}})
	for k, v := range [3]float64{shown.R, shown.G, shown.B} {
		require.InDelta(t, float64(rootCode(v)), float64([3]uint8{r, g, b}[k]), 1.5)
	}
	require.True(t, photo.Clipped(15, 5))
	require.False(t, photo.Clipped(14, 5))
}

// Dim light that looks like daylight may be that of cool lamps.
func TestRawPhotoInDimLight(t *testing.T) {
	p := rawOf(colour.Lab{L: 60, A: 12, B: 25}.XYZ(), nil)
	photo, err := Decode(t.Context(), p.Bytes(), "photo")
	require.NoError(t, err)
	photo = photo.BalancedBy(photo.Linear(3, 5), colour.Lab{L: 94})
	photo.Facts.Exposure, photo.Facts.Aperture, photo.Facts.ISO = 1.0/60, 2, 100 // an exposure value of 7.9
	require.Equal(t, sensor.Daylight, photo.Light())
	photo.Facts.ISO = 400
	require.Equal(t, sensor.OtherLight, photo.Light())
}

func TestRawPhotosRefused(t *testing.T) {
	for code, change := range map[fault.Code]func(p *rawfile.Photo){
		"photo.raw-packed":  func(p *rawfile.Photo) { p.More = map[uint16]int{259: 52546} },
		"photo.raw-layout":  func(p *rawfile.Photo) { p.Pattern = [4]byte{0, 0, 1, 2} },
		"photo.raw-colours": func(p *rawfile.Photo) { p.Matrices = [2][]float64{} },
		"photo.damaged":     func(p *rawfile.Photo) { p.Active = []int{0, 0, 400, 40} },
	} {
		p := rawOf(colour.WhiteD65, nil)
		change(&p)
		_, err := Decode(t.Context(), p.Bytes(), "photo")
		require.NotNil(t, fault.Of(err), code)
		require.Equal(t, code, fault.Of(err).Code)
	}
	p := rawOf(colour.WhiteD65, nil)
	whole := p.Bytes()
	_, err := Decode(t.Context(), whole[:len(whole)/4], "photo")
	require.Equal(t, fault.Photo, fault.KindOf(err))
	_, err = DecodeWithin(t.Context(), whole, "photo", Limits{Megapixels: 0.001})
	require.Equal(t, fault.Code("photo.many-pixels"), fault.Of(err).Code)
	_, err = DecodeWithin(t.Context(), whole, "photo", Limits{Memory: 0.005})
	require.Equal(t, fault.Code("photo.much-memory"), fault.Of(err).Code)
	ended, end := context.WithCancel(t.Context())
	end()
	_, err = Decode(ended, whole, "photo")
	require.ErrorIs(t, err, context.Canceled)
}

// A raw photo of a real camera that is cut short says so.
func TestRealRawPhotoCutShort(t *testing.T) {
	_, err := Open(t.Context(), fixture.NeedShared(t, "formats/raw/truncated_canon_cfa.dng")[0])
	require.Equal(t, fault.Code("photo.cut-short"), fault.Of(err).Code)
}

func FuzzDecodeRaw(f *testing.F) {
	p := rawOf(colour.Lab{L: 60, A: 12, B: 25}.XYZ(), []float64{0.5, 1, 0.7})
	q := p
	q.TileWide, q.TileHigh, q.Lossless, q.Orientation = 32, 16, &rawfile.Lossless{}, 8
	fuzzDecode(f, p.Bytes(), q.Bytes())
}
