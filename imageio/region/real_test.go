package region_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	gonum "gonum.org/v1/gonum/stat"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/figure"
	"huewright/internal/fixture"
	"huewright/internal/stat"
)

// A tapped is a region of a real photo, outlined by hand, in shares of its width and height; all of the photo but holes where there is no
// outline.
type tapped struct {
	file  string
	at    [2]float64 // of the first tap
	round [][2]float64
	holes [][][2]float64
}

var realRegions = map[string]tapped{
	"table": {"formats/exif/iphone_13_pro_max.HEIC", [2]float64{0.15, 0.88},
		[][2]float64{{0, 0.752}, {0.353, 0.762}, {0.366, 0.771}, {0.313, 0.85}, {0.229, 0.99}, {0.24, 1}, {0.12, 1}, {0.12, 0.983},
			{0, 0.98}}, nil},
	"cupboard": {"formats/exif/iphone_13_pro_max.HEIC", [2]float64{0.02, 0.4},
		[][2]float64{{0, 0.155}, {0.02, 0.16}, {0.04, 0.34}, {0.047, 0.47}, {0.05, 0.69}, {0, 0.715}}, nil},
	"desk": {"charts/jarrelscy/IMG_20140613_203438.jpg", [2]float64{0.85, 0.8},
		[][2]float64{{0.69, 0.637}, {1, 0.811}, {1, 1}, {0.545, 1}, {0.42, 0.867}, {0.372, 0.707}, {0.4, 0.767}, {0.46, 0.807},
			{0.53, 0.821}, {0.6, 0.807}, {0.65, 0.773}, {0.684, 0.7}}, nil},
	"carpet": {"charts/jtvd/color_checker_1.jpg", [2]float64{0.05, 0.5}, nil,
		[][][2]float64{{{0.104, 0.041}, {0.841, 0.011}, {0.951, 0.851}, {0.110, 0.869}}}},
	"board": {"charts/jtvd/color_checker_6.jpg", [2]float64{0.05, 0.5},
		[][2]float64{{0.1, 0}, {1, 0}, {1, 1}, {0, 1}, {0, 0.264}},
		[][][2]float64{{{0.187, 0.028}, {0.924, 0.062}, {0.985, 0.917}, {0.028, 0.89}}}},
	"far carpet": {"charts/jtvd/color_checker_mini_1.jpg", [2]float64{0.06, 0.4}, nil,
		[][][2]float64{{{0.15, 0.126}, {0.89, 0.128}, {0.884, 0.906}, {0.153, 0.906}}}},
	"part of a carpet": {"charts/jtvd/color_checker_mini_3.jpg", [2]float64{0.85, 0.3},
		[][2]float64{{0, 0.028}, {0.8, 0.032}, {0.81, 0}, {1, 0}, {1, 1}, {0.46, 1}, {0.927, 0.927}, {0.682, 0.206}, {0.043, 0.218},
			{0.006, 0.757}, {0, 0.757}}, nil},
}

// unseenRegions are further ones, on which nothing was tuned: what lies under and round a sheet of paper.
var unseenRegions = map[string]tapped{
	"carpet, paper to the edge": {"charts/jtvd/color_checker_2.jpg", [2]float64{0.06, 0.3}, nil,
		[][][2]float64{{{0.197, 0.102}, {0.925, 0.031}, {0.997, 0.982}, {0.997, 1}, {0.667, 1}, {0.007, 0.9}}}},
	"carpet, wide on the left": {"charts/jtvd/color_checker_4.jpg", [2]float64{0.1, 0.5}, nil,
		[][][2]float64{{{0.248, 0.13}, {0.905, 0.189}, {0.966, 0.888}, {0.25, 0.964}}}},
	"carpet, narrow": {"charts/jtvd/color_checker_5.jpg", [2]float64{0.06, 0.7}, nil,
		[][][2]float64{{{0.105, 0.135}, {0.84, 0.043}, {0.891, 0.898}, {0.177, 0.86}}}},
	"carpet, wide on the right": {"charts/jtvd/color_checker_mini_4.jpg", [2]float64{0.88, 0.5}, nil,
		[][][2]float64{{{0.092, 0.12}, {0.721, 0.179}, {0.769, 0.814}, {0.105, 0.895}}}},
	"carpet round a grey card": {"charts/jtvd/mini_example.jpg", [2]float64{0.9, 0.2}, nil,
		[][][2]float64{{{0.163, 0.117}, {0.823, 0.13}, {0.82, 0.811}, {0.177, 0.829}}}},
	"carpet, a strip on each side": {"charts/jtvd/normal_example.jpg", [2]float64{0.04, 0.5}, nil,
		[][][2]float64{{{0.095, 0.071}, {0.935, 0.105}, {0.922, 0.531}, {0.929, 0.967}, {0.092, 0.974}}}},
}

// outlineOn is a region on its photo.
func (r *tapped) outlineOn(p *imageio.Photo) imageio.Outline {
	ring := func(shares [][2]float64) (out []imageio.Point) {
		for _, s := range shares {
			out = append(out, imageio.Point{X: s[0] * float64(p.Width), Y: s[1] * float64(p.Height)})
		}
		return out
	}
	if r.round == nil {
		r.round = [][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	}
	o := imageio.Outline{Points: ring(r.round)}
	for _, h := range r.holes {
		o.Holes = append(o.Holes, ring(h))
	}
	return o
}

// A judged is a mask beside its truth on a lattice of places.
type judged struct {
	iou  float64
	off  float64    // ΔE00 between the mean light of the mask and that of the truth
	next region.Tap // where a person would tap next: in the middle of the largest mistake
	seen bool       // it is large enough to tap on
}

// light is summed up over places.
type light struct {
	sum colour.LinearRGB
	n   float64
}

func (l *light) add(c colour.LinearRGB) {
	l.sum = colour.LinearRGB{R: l.sum.R + c.R, G: l.sum.G + c.G, B: l.sum.B + c.B}
	l.n++
}

func (l *light) mean() colour.LinearRGB {
	n := max(l.n, 1)
	return colour.LinearRGB{R: l.sum.R / n, G: l.sum.G / n, B: l.sum.B / n}
}

// judge compares a mask with its truth.
func judge(p *imageio.Photo, mask *region.Mask, truth func(x, y int) bool) judged {
	const across = 160
	step := max(1, max(p.Width, p.Height)/across)
	wide, high := p.Width/step, p.Height/step
	wrong, both, either := make([]bool, wide*high), 0, 0
	var taken, whole light
	for i := range wrong {
		x, y := step*(i%wide)+step/2, step*(i/wide)+step/2
		in, should := mask.Contains(imageio.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}), truth(x, y)
		wrong[i] = in != should
		if in && should {
			both++
		}
		if in || should {
			either++
		}
		if in {
			taken.add(p.Linear(x, y))
		}
		if should {
			whole.add(p.Linear(x, y))
		}
	}
	deepest, at := 0, 0
	for i, w := range wrong {
		d := 0
		for w && d < wide && square(wrong, wide, high, i, d) {
			d++
		}
		if d > deepest {
			deepest, at = d, i
		}
	}
	x, y := step*(at%wide)+step/2, step*(at/wide)+step/2
	next := region.Tap{At: imageio.Point{X: float64(x), Y: float64(y)}, No: !truth(x, y)}
	return judged{float64(both) / float64(either), colour.DeltaE2000(whole.mean().Lab(), taken.mean().Lab()), next, deepest > 2}
}

// square reports whether all of a square of 2d + 1 round place i is wrong.
func square(wrong []bool, wide, high, i, d int) bool {
	x, y := i%wide, i/wide
	for b := y - d; b <= y+d; b++ {
		for a := x - d; a <= x+d; a++ {
			if a < 0 || b < 0 || a >= wide || b >= high || !wrong[b*wide+a] {
				return false
			}
		}
	}
	return true
}

// On real photos one tap goes where a person would put it, then two more where the mask is most wrong. In the long run what was asked is
// required: of all regions that nothing was tuned on, and of those of wood alone.
func TestTapsOnRealPhotos(t *testing.T) {
	known, unseen, wood := tapAll(t, realRegions), tapAll(t, unseenRegions), tapAll(t, woods)
	for _, of := range []tappings{known, unseen, wood} {
		require.Greater(t, stat.Quantile(of[2].iou, 0.5), 0.8)
	}
	for i, w := range wood {
		unseen[i].iou, unseen[i].off = append(unseen[i].iou, w.iou...), append(unseen[i].off, w.off...)
	}
	all := map[string]tappings{"real photos": known, "unseen real photos": unseen, "unseen real wood": wood}
	if figure.Long() {
		all["kitchen"] = tapAll(t, tuningWoods)
	}
	for name, of := range all {
		one, three := gonum.Mean(of[0].iou, nil), gonum.Mean(of[2].iou, nil)
		worst, off, most := stat.Quantile(of[2].iou, 0.1), stat.Quantile(of[2].off, 0.5), stat.Quantile(of[2].off, 0.9)
		figure.Report(t, "taps/"+name, "%.2f / %.2f (worst tenth %.2f)", one, three, worst)
		figure.Report(t, "taps/"+name+", colour", "%.1f, %.1f", off, most)
		if !figure.Long() || name == "real photos" || name == "kitchen" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			assert.GreaterOrEqual(t, one, 0.72)
			assert.GreaterOrEqual(t, three, 0.85)
			assert.GreaterOrEqual(t, worst, 0.68)
			assert.LessOrEqual(t, off, 1.0)
			assert.LessOrEqual(t, most, 3.0)
		})
	}
}

// A tapping is how masks came out after so many taps, by region.
type tapping struct{ iou, off []float64 }

// tappings are those after one tap, two and three.
type tappings [3]tapping

// tapAll taps every region once, twice and three times.
func tapAll(t *testing.T, regions map[string]tapped) (of tappings) {
	photos, divided := map[string]*imageio.Photo{}, map[string]*region.Cells{}
	for name, r := range regions {
		if photos[r.file] == nil {
			p, err := imageio.Open(t.Context(), fixture.NeedShared(t, r.file)[0])
			require.NoError(t, err)
			photos[r.file] = p
			divided[r.file], err = region.Divide(t.Context(), p)
			require.NoError(t, err)
		}
		p, cells := photos[r.file], divided[r.file]
		truth := pixels(p, r.outlineOn(p))
		taps := []region.Tap{{At: imageio.Point{X: r.at[0] * float64(p.Width), Y: r.at[1] * float64(p.Height)}}}
		var ious, offs []float64
		for i := range of {
			mask, err := cells.Take(t.Context(), taps, nil)
			require.NoError(t, err)
			j := judge(p, mask, truth)
			ious, offs = append(ious, j.iou), append(offs, j.off)
			of[i].iou, of[i].off = append(of[i].iou, j.iou), append(of[i].off, j.off)
			if j.seen {
				taps = append(taps, j.next)
			}
		}
		t.Logf("%s: %.2f, off by %.1f %v", name, ious, offs, taps)
	}
	return of
}
