package dng

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
	"huewright/internal/rawfile"
)

func decoded(t *testing.T, p rawfile.Photo) *Picture {
	t.Helper()
	r, err := Read(p.Bytes())
	require.NoError(t, err)
	out, err := r.Decode(t.Context())
	require.NoError(t, err)
	return out
}

// flat is a photo whose samples are alike but for their colour: red, green and blue.
func flat(wide, high int, pattern [4]byte, rgb [3]uint16) rawfile.Photo {
	p := rawfile.Photo{
		Wide: wide, High: high, Bits: 14, Pattern: pattern, White: []int{12000},
		Neutral: []float64{0.5, 1, 0.6}, Lights: [2]int{21}, Matrices: [2][]float64{daylight},
	}
	for i := range wide * high {
		p.Samples = append(p.Samples, rgb[pattern[2*(i/wide%2)+i%wide%2]])
	}
	return p
}

func requireLight(t *testing.T, p *Picture, x, y int, want [3]float64) {
	t.Helper()
	for c, v := range want {
		require.InDelta(t, v, p.Light(p.Codes[3*(y*p.Width+x)+c]), 1/p.Unit, "channel %d at %d, %d", c, x, y)
	}
}

// The colours of a cell are told in every order, and wherever active area and crop begin.
func TestCellsOfEveryOrder(t *testing.T) {
	for _, pattern := range [][4]byte{{0, 1, 1, 2}, {2, 1, 1, 0}, {1, 0, 2, 1}, {1, 2, 0, 1}} {
		for _, first := range [][2]float64{{0, 0}, {1, 0}, {0, 1}, {3, 5}} {
			p := flat(40, 30, pattern, [3]uint16{3000, 6000, 1500})
			p.CropOrigin, p.CropSize = first[:], []float64{20, 12}
			got := decoded(t, p)
			require.Equal(t, [2]int{10, 6}, [2]int{got.Width, got.Height})
			for _, at := range [][2]int{{0, 0}, {9, 5}} {
				requireLight(t, got, at[0], at[1], [3]float64{0.25, 0.5, 0.125})
			}
		}
	}
	p := flat(41, 30, [4]byte{0, 1, 1, 2}, [3]uint16{3000, 6000, 1500})
	p.Active = []int{2, 4, 29, 40} // its pattern begins with the active area
	requireLight(t, decoded(t, p), 0, 0, [3]float64{0.25, 0.5, 0.125})
}

// Black by pattern, column and row is taken off, and what is left is a share of white less the largest black.
func TestBlackAndWhite(t *testing.T) {
	p := flat(40, 30, [4]byte{0, 1, 1, 2}, [3]uint16{3000, 6000, 1500})
	p.Active = []int{0, 0, 30, 40}
	p.BlackRows, p.BlackColumn, p.Black = 2, 2, []float64{500, 510, 530, 580.5}
	for x := range 40 {
		p.BlackAcross = append(p.BlackAcross, float64(x%2*20-10))
	}
	for y := range 30 {
		p.BlackDown = append(p.BlackDown, float64(y%2*4))
	}
	p.White = []int{10594}
	got := decoded(t, p)
	whole := 10594 - 580.5 - 10 - 4
	requireLight(t, got, 7, 3, [3]float64{
		(3000 - (500 - 10)) / whole,
		((6000 - (510 + 10)) + (6000 - (530 - 10 + 4))) / 2 / whole,
		(1500 - (580.5 + 10 + 4)) / whole,
	})
}

// What is darker than black is kept, so that noise about black is no light; what fills the sensor is marked.
func TestEndsOfTheRange(t *testing.T) {
	p := flat(40, 30, [4]byte{0, 1, 1, 2}, [3]uint16{490, 12000, 1500})
	p.Black = []float64{500}
	p.Samples[40*5+8] = 600 // one of two greens of the cell at 4, 2, whose other one is full
	got := decoded(t, p)
	require.Less(t, got.Light(got.Codes[0]), 0.0)
	requireLight(t, got, 0, 0, [3]float64{-10.0 / 11500, got.Light(FullCode), 1000.0 / 11500})
	require.EqualValues(t, FullCode, got.Codes[3*(2*got.Width+4)+1])
	require.Less(t, got.Codes[3*(2*got.Width+4)], uint16(FullCode))
}

// A gain map over the active area brightens what a lens darkens: each of a mosaic's four places by a map of its own, or red, green
// and blue by one map.
func TestGainMaps(t *testing.T) {
	ramp := func(x, y float64) float64 { return 1 + 0.5*x + 0.25*y }
	lattice := func() (g []float32) {
		for y := range 5 {
			for x := range 9 {
				g = append(g, float32(ramp(float64(x)/8, float64(y)/4)))
			}
		}
		return g
	}
	p := flat(80, 60, [4]byte{0, 1, 1, 2}, [3]uint16{3000, 6000, 1500})
	p.Active, p.CropOrigin, p.CropSize = []int{2, 2, 60, 80}, []float64{4, 6}, []float64{60, 40}
	for i := range 4 {
		p.Stored = append(p.Stored, rawfile.GainMap{
			Top: i / 2, Left: i % 2, Bottom: 58, Right: 78, Planes: 1, RowPitch: 2, ColumnPitch: 2,
			High: 5, Wide: 9, SpaceV: 0.25, SpaceH: 0.125, Each: 1, Gains: lattice(),
		})
	}
	at := func(x, y int, dx, dy float64) float64 { // of a sample of the cell
		return ramp((4+2*float64(x)+dx+0.5)/78, (6+2*float64(y)+dy+0.5)/58)
	}
	got := decoded(t, p)
	for _, q := range [][2]int{{0, 0}, {29, 19}, {13, 7}} {
		x, y := q[0], q[1]
		requireLight(t, got, x, y, [3]float64{
			0.25 * at(x, y, 0, 0), 0.5 * (at(x, y, 1, 0) + at(x, y, 0, 1)) / 2, 0.125 * at(x, y, 1, 1),
		})
	}
	p.Stored[2].Gains = make([]float32, 45) // of 0
	_, err := Read(p.Bytes())
	require.ErrorIs(t, err, ErrDamaged)

	p.Stored = nil
	both := lattice()
	for i := range both {
		both[i]++
	}
	p.Colours = []rawfile.GainMap{
		{Bottom: 58, Right: 78, Planes: 3, RowPitch: 1, ColumnPitch: 1, High: 5, Wide: 9, SpaceV: 0.25, SpaceH: 0.125, Each: 1, Gains: lattice()},
		{Bottom: 58, Right: 78, Plane: 2, Planes: 1, RowPitch: 1, ColumnPitch: 1, High: 1, Wide: 1, Each: 1, Gains: []float32{2}},
	}
	got = decoded(t, p)
	for _, q := range [][2]int{{0, 0}, {29, 19}, {13, 7}} {
		g := at(q[0], q[1], 0, 0)
		requireLight(t, got, q[0], q[1], [3]float64{0.25 * g, 0.5 * g, 2 * 0.125 * g})
	}
}

// The mean over an area of a picture of cells is that of what the sensor saw.
func TestMeansAreThoseOfTheSensor(t *testing.T) {
	p := drawn(80, 60, 12, false)
	for i := range p.Samples {
		p.Samples[i] = min(p.Samples[i], 3900)
	}
	got := decoded(t, p)
	var sums, counts [3]float64
	for i, v := range p.Samples {
		c := p.Pattern[2*(i/80%2)+i%80%2]
		sums[c] += float64(v) / 4095
		counts[c]++
	}
	for c := range 3 {
		mean := 0.0
		for i := c; i < len(got.Codes); i += 3 {
			mean += got.Light(got.Codes[i]) / float64(got.Width*got.Height)
		}
		require.InDelta(t, sums[c]/counts[c], mean, 1/got.Unit)
	}
}

func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		change func(p *rawfile.Photo)
		kind   Kind
	}{
		"JPEG XL":              {func(p *rawfile.Photo) { p.More = map[uint16]int{259: 52546} }, KindXL},
		"lossy":                {func(p *rawfile.Photo) { p.More = map[uint16]int{259: 34892} }, KindLossy},
		"deflate":              {func(p *rawfile.Photo) { p.More = map[uint16]int{259: 8} }, KindDeflate},
		"another compression":  {func(p *rawfile.Photo) { p.More = map[uint16]int{259: 5} }, KindPacking},
		"floating point":       {func(p *rawfile.Photo) { p.More = map[uint16]int{339: 3} }, KindNumbers},
		"32 bits":              {func(p *rawfile.Photo) { p.More = map[uint16]int{258: 32} }, KindNumbers},
		"two exposures":        {func(p *rawfile.Photo) { p.More = map[uint16]int{277: 2} }, KindColours},
		"other colours":        {func(p *rawfile.Photo) { p.Pattern = [4]byte{3, 4, 5, 1} }, KindColours},
		"no green":             {func(p *rawfile.Photo) { p.Pattern = [4]byte{0, 0, 1, 2} }, KindColours},
		"staggered":            {func(p *rawfile.Photo) { p.More = map[uint16]int{50711: 2} }, KindColours},
		"rows interleaved":     {func(p *rawfile.Photo) { p.More = map[uint16]int{50975: 2} }, KindLayout},
		"lowest bit first":     {func(p *rawfile.Photo) { p.More = map[uint16]int{266: 2} }, KindLayout},
		"for a later reader":   {func(p *rawfile.Photo) { p.Backward = [4]byte{1, 8} }, KindNewer},
		"without matrices":     {func(p *rawfile.Photo) { p.Matrices = [2][]float64{} }, KindMatrix},
		"a JPEG of other kind": {func(p *rawfile.Photo) { p.More = map[uint16]int{259: 7} }, KindLossy},
	} {
		p := drawn(40, 30, 12, false)
		c.change(&p)
		r, err := Read(p.Bytes())
		if err == nil {
			_, err = r.Decode(t.Context())
		}
		var refused *KindError
		require.ErrorAs(t, err, &refused, name)
		require.Equal(t, c.kind, refused.Kind, name)
	}
	p := drawn(40, 30, 12, false)
	p.More = map[uint16]int{262: 2}
	_, err := Read(p.Bytes())
	require.ErrorIs(t, err, ErrNotRaw)
	p.More, p.Matrices[0] = nil, make([]float64, 9)
	_, err = Read(p.Bytes())
	require.Error(t, err)
}

// What is cut short anywhere is an error, and so is what contradicts itself.
func TestSpoiltFiles(t *testing.T) {
	for name, p := range variants() {
		data := p.Bytes()
		for _, share := range []float64{0.02, 0.3, 0.6, 0.9, 0.99} {
			cut := data[:int(share*float64(len(data)))]
			if r, err := Read(cut); err == nil {
				_, err = r.Decode(t.Context())
				require.NoError(t, err, name) // only what lies behind the samples is missing
			}
		}
		for i := 0; i < len(data); i += 1 + len(data)/97 {
			bad := append([]byte(nil), data...)
			bad[i] ^= 0x55
			if r, err := Read(bad); err == nil {
				_, _ = r.Decode(t.Context())
			}
		}
	}
	p := drawn(40, 30, 14, false)
	p.White = []int{20}
	p.Black = []float64{20}
	_, err := Read(p.Bytes())
	require.ErrorIs(t, err, ErrDamaged)
}

func TestDecodeStopsWithItsContext(t *testing.T) {
	p := drawn(400, 300, 14, false)
	p.Lossless = &rawfile.Lossless{}
	r, err := Read(p.Bytes())
	require.NoError(t, err)
	ended, end := context.WithCancel(t.Context())
	end()
	_, err = r.Decode(ended)
	require.ErrorIs(t, err, context.Canceled)
}

// A file of a real camera, cut short in its samples, shows its tags and is refused for what it is.
func TestRealFileCutShort(t *testing.T) {
	data, err := os.ReadFile(fixture.NeedShared(t, "formats/raw/truncated_canon_cfa.dng")[0])
	require.NoError(t, err)
	_, err = Read(data)
	require.ErrorIs(t, err, ErrShort)
	whole := append(data, make([]byte, 8<<20)...)
	r, err := Read(whole)
	require.NoError(t, err)
	require.Equal(t, [2]int{2672, 1968}, [2]int{r.Wide, r.High})
	require.Equal(t, rect{8, 12, 1968, 2628}, r.active)
	require.Equal(t, rect{16, 24, 1960, 2616}, r.crop)
	require.Equal(t, [4]byte{0, 1, 1, 2}, r.cells)
	require.Equal(t, 10, r.bits)
	require.Equal(t, []float64{31}, r.levels.black)
	require.InDelta(t, 1/(1023.0-31), r.levels.share[0], 1e-12)
	require.InDelta(t, 0.83264, r.Colours.AsShot[0], 1e-5)
	require.InDelta(t, 0.53603, r.Colours.Calibrations[0].Matrix[0][0], 1e-5)
	require.Equal(t, 5500.0, r.Colours.Calibrations[0].Kelvin)
	require.Equal(t, 1, r.Orientation)
	p, err := r.Decode(t.Context())
	require.NoError(t, err)
	require.Equal(t, [2]int{1296, 972}, [2]int{p.Width, p.Height})
	require.False(t, math.IsNaN(p.Light(p.Codes[0])))
}

func FuzzRaw(f *testing.F) {
	all := variants()
	for _, name := range []string{
		"packed 12 bits, odd width", "lossless, tiles", "lossless, long codes", "lossless, restarts", "lossless, table", "linear, lossless tiles",
		"masked edges",
	} {
		p := all[name]
		f.Add(p.Bytes())
	}
	p := flat(16, 12, [4]byte{1, 0, 2, 1}, [3]uint16{3000, 6000, 1500})
	p.Colours = []rawfile.GainMap{
		{
			Bottom: 12, Right: 16, Planes: 3, RowPitch: 1, ColumnPitch: 1, High: 2, Wide: 2, SpaceV: 1, SpaceH: 1, Each: 1,
			Gains: []float32{1, 2, 1, 3},
		},
	}
	f.Add(p.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			return
		}
		r, err := Read(data)
		if err != nil || r.Memory() > 64<<20 {
			return
		}
		p, err := r.Decode(t.Context())
		if err != nil {
			return
		}
		wide, high := r.Size()
		require.Equal(t, 3*wide*high, len(p.Codes))
		for _, v := range r.Colours.ToXYZ(r.Colours.OfWhite(0.3127, 0.329)) {
			require.False(t, math.IsNaN(v[0]+v[1]+v[2]))
		}
	})
}
