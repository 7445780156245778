package dng

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"huewright/internal/figure"
	"huewright/internal/rawfile"
)

// daylight is a matrix such as makers give, from memory: what is held here does not depend on it.
var daylight = []float64{0.70, -0.25, -0.07, -0.45, 1.27, 0.20, -0.10, 0.20, 0.60}

// drawn is a photo of noisy fields, of so many bits.
func drawn(wide, high, bits int, linear bool) rawfile.Photo {
	p := rawfile.Photo{
		Wide: wide, High: high, Bits: bits, Linear: linear, Pattern: [4]byte{0, 1, 1, 2},
		Neutral: []float64{0.5, 1, 0.6}, Lights: [2]int{21}, Matrices: [2][]float64{daylight}, Maker: "drawn",
	}
	rng := rand.New(rand.NewPCG(uint64(wide), uint64(bits)))
	n := 1
	if linear {
		n = 3
	}
	top := 1<<bits - 1
	p.Samples = make([]uint16, wide*high*n)
	for i := range p.Samples {
		x, y := i/n%wide, i/n/wide
		v := top*(x/7+2*(y/5))/(wide/7+2*(high/5)+1) + rng.IntN(1+top/9)
		p.Samples[i] = uint16(min(v, top))
	}
	p.Samples[3], p.Samples[len(p.Samples)/2] = uint16(top), 0
	return p
}

// variants are ways to keep the same kind of picture.
func variants() map[string]rawfile.Photo {
	all := map[string]rawfile.Photo{}
	add := func(name string, p rawfile.Photo, change func(p *rawfile.Photo)) {
		if change != nil {
			change(&p)
		}
		all[name] = p
	}
	for bits := 8; bits <= 16; bits++ {
		add(fmt.Sprintf("packed %d bits", bits), drawn(62, 40, bits, false), nil)
	}
	add("packed 12 bits, odd width", drawn(61, 41, 12, false), nil)
	add("packed 12 bits, highest byte first", drawn(62, 40, 12, false), func(p *rawfile.Photo) { p.BigEndian = true })
	add("16 bits, highest byte first", drawn(62, 40, 16, false), func(p *rawfile.Photo) { p.BigEndian = true })
	add("strips", drawn(62, 41, 14, false), func(p *rawfile.Photo) { p.RowsPerStrip = 8 })
	add("first directory", drawn(62, 40, 12, false), func(p *rawfile.Photo) { p.RawFirst = true })
	for predictor := 1; predictor <= 7; predictor++ {
		add(fmt.Sprintf("lossless, predictor %d", predictor), drawn(62, 40, 14, false), func(p *rawfile.Photo) {
			p.Lossless = &rawfile.Lossless{Predictor: predictor}
		})
	}
	for _, n := range []int{1, 2, 4} {
		add(fmt.Sprintf("lossless, %d components", n), drawn(64, 40, 12, false), func(p *rawfile.Photo) {
			p.Lossless = &rawfile.Lossless{Components: n, Predictor: 6}
		})
	}
	add("lossless, tiles", drawn(90, 52, 14, false), func(p *rawfile.Photo) {
		p.TileWide, p.TileHigh, p.Lossless = 32, 16, &rawfile.Lossless{}
	})
	add("lossless, two rows a line", drawn(64, 40, 14, false), func(p *rawfile.Photo) {
		p.TileWide, p.TileHigh, p.Lossless = 32, 8, &rawfile.Lossless{TwoRows: true}
	})
	add("lossless, 16 bits", drawn(64, 40, 16, false), func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{Predictor: 4} })
	add("lossless, long codes", drawn(64, 40, 14, false), func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{Skewed: true} })
	add("lossless, restarts", drawn(64, 40, 14, false), func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{Restart: 3} })
	add("lossless, table", drawn(64, 40, 8, false), func(p *rawfile.Photo) {
		p.Lossless = &rawfile.Lossless{}
		for i := range 200 { // codes beyond it are its last
			p.Table = append(p.Table, i*i/16)
		}
		p.White = []int{3000}
	})
	add("linear", drawn(40, 30, 16, true), nil)
	add("linear, lossless tiles", drawn(50, 40, 14, true), func(p *rawfile.Photo) {
		p.TileWide, p.TileHigh, p.Lossless = 32, 16, &rawfile.Lossless{Predictor: 7}
	})
	add("masked edges", drawn(62, 40, 12, false), func(p *rawfile.Photo) { p.Active = []int{3, 5, 38, 60} })
	for _, pattern := range [][4]byte{{2, 1, 1, 0}, {1, 0, 2, 1}, {1, 2, 0, 1}} {
		add(fmt.Sprintf("pattern %v", pattern), drawn(62, 40, 12, false), func(p *rawfile.Photo) { p.Pattern = pattern })
	}
	return all
}

// meant is what a stored sample stands for.
func meant(p *rawfile.Photo, v uint16) uint16 {
	if p.Table == nil {
		return v
	}
	return uint16(p.Table[min(int(v), len(p.Table)-1)])
}

func TestStoredSamplesComeBack(t *testing.T) {
	for name, p := range variants() {
		t.Run(name, func(t *testing.T) {
			r, err := Read(p.Bytes())
			require.NoError(t, err)
			got, err := r.stored(t.Context())
			require.NoError(t, err)
			require.Len(t, got, len(p.Samples))
			for i, v := range p.Samples {
				require.Equal(t, meant(&p, v), got[i], "sample %d", i)
			}
		})
	}
}

// Ways that the programs beside us do not read.
func TestStoredSamplesOfSeldomWays(t *testing.T) {
	for name, change := range map[string]func(p *rawfile.Photo){
		"uncompressed tiles":        func(p *rawfile.Photo) { p.TileWide, p.TileHigh = 32, 16 },
		"lossless strips":           func(p *rawfile.Photo) { p.RowsPerStrip, p.RawFirst, p.Lossless = 7, true, &rawfile.Lossless{} },
		"restarts, by rows above":   func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{Restart: 3, Predictor: 5} },
		"version 1.0, category 16":  func(p *rawfile.Photo) { p.Lossless, p.Version = &rawfile.Lossless{Long16: true}, [4]byte{1, 0} },
		"version 1.4, category 16":  func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{} },
		"three components of a row": func(p *rawfile.Photo) { p.Lossless = &rawfile.Lossless{Components: 3} },
	} {
		t.Run(name, func(t *testing.T) {
			p := drawn(66, 40, 16, false)
			p.Samples[8], p.Samples[10], p.Samples[11] = 0, 1<<15, 1<<15 // the largest steps there are
			change(&p)
			r, err := Read(p.Bytes())
			require.NoError(t, err)
			got, err := r.stored(t.Context())
			require.NoError(t, err)
			require.Equal(t, p.Samples, got)
		})
	}
	p := drawn(64, 40, 14, false)
	p.Lossless = &rawfile.Lossless{Shift: 2}
	r, err := Read(p.Bytes())
	require.NoError(t, err)
	got, err := r.stored(t.Context())
	require.NoError(t, err)
	for i, v := range p.Samples {
		require.Equal(t, v&^3, got[i], "sample %d", i)
	}
}

// Two other programs read the same files to the same samples: dcraw those of the active area, LibRaw all of a mosaic.
func TestStoredSamplesAreThoseOfOthers(t *testing.T) {
	folder := t.TempDir()
	compared := map[string]int{}
	all := variants()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		p := all[name]
		path := filepath.Join(folder, "photo.dng")
		require.NoError(t, os.WriteFile(path, p.Bytes(), 0o600))
		r, err := Read(p.Bytes())
		require.NoError(t, err)
		stored, err := r.stored(t.Context())
		require.NoError(t, err)
		if others, ok := byDcraw(t, path); ok {
			compared["dcraw"]++
			requireSame(t, name+" by dcraw", r, stored, others, r.active)
		}
		if others, ok := byLibRaw(t, path); ok && r.mosaic() {
			compared["LibRaw"]++
			requireSame(t, name+" by LibRaw", r, stored, others, rect{0, 0, r.High, r.Wide})
		}
	}
	if len(compared) == 0 {
		t.Skip("neither dcraw nor LibRaw's unprocessed_raw is here (Debian dcraw, libraw-bin)")
	}
	for name, files := range compared {
		figure.Report(t, "raw samples/"+name, "%d", files)
	}
}

func requireSame(t *testing.T, name string, r *Raw, stored []uint16, others image.Image, area rect) {
	t.Helper()
	require.Equal(t, area.wide(), others.Bounds().Dx(), name)
	require.Equal(t, area.high(), others.Bounds().Dy(), name)
	for y := range area.high() {
		for x := range area.wide() {
			at := ((area.top+y)*r.Wide + area.left + x) * r.planes
			want := stored[at : at+r.planes]
			if r.mosaic() {
				require.Equal(t, want[0], color.Gray16Model.Convert(others.At(x, y)).(color.Gray16).Y, "%s at %d, %d", name, x, y)
				continue
			}
			c := color.NRGBA64Model.Convert(others.At(x, y)).(color.NRGBA64)
			require.Equal(t, want, []uint16{c.R, c.G, c.B}, "%s at %d, %d", name, x, y)
		}
	}
}

// byDcraw is what dcraw makes of a file, unscaled and upright as stored.
func byDcraw(t *testing.T, path string) (image.Image, bool) {
	program, err := exec.LookPath("dcraw")
	if err != nil {
		return nil, false
	}
	out, err := exec.Command(program, "-c", "-D", "-4", "-T", "-t", "0", path).Output()
	require.NoError(t, err)
	img, err := tiff.Decode(bytes.NewReader(out))
	require.NoError(t, err)
	return img, true
}

// byLibRaw is what LibRaw unpacks of a file, masked edges too.
func byLibRaw(t *testing.T, path string) (image.Image, bool) {
	program, err := exec.LookPath("unprocessed_raw")
	if err != nil {
		return nil, false
	}
	_, err = exec.Command(program, path).CombinedOutput()
	require.NoError(t, err)
	written, err := os.ReadFile(path + ".pgm")
	if err != nil {
		return nil, false // it reads mosaics alone
	}
	require.NoError(t, os.Remove(path+".pgm"))
	var wide, high, top int
	_, err = fmt.Sscanf(string(written[:64]), "P5\n%d %d\n%d\n", &wide, &high, &top)
	require.NoError(t, err)
	img := image.NewGray16(image.Rect(0, 0, wide, high))
	body := written[len(written)-2*wide*high:]
	for i := range wide * high {
		binary.BigEndian.PutUint16(img.Pix[2*i:], binary.BigEndian.Uint16(body[2*i:]))
	}
	return img, true
}
