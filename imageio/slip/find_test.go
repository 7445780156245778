package slip_test

import (
	"context"
	"fmt"
	"image"
	"io/fs"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/slip"
	"huewright/internal/contexttest"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
	"huewright/internal/stat"
)

// A laid slip is one that was pasted into a photo, and the truth about it.
type laid struct {
	slip.Design
	pose
	print *print
	light lighting
}

func (l *laid) corners() (q [4]imageio.Point) {
	for i, c := range [4][2]float64{{0, 0}, {slip.Side, 0}, {slip.Side, slip.Side}, {0, slip.Side}} {
		q[i].X, q[i].Y = l.project(c[0], c[1])
	}
	return q
}

// A drawnScene is a photo with slips in it.
type drawnScene struct {
	photo   *imageio.Photo
	laid    []laid
	quality int
	blurred float64
}

// sceneOptions say what is drawn.
type sceneOptions struct {
	sizes      [2]float64 // pixels face on, drawn evenly in their logarithm
	tilt, curl float64    // degrees; 1 over the radius in widths of the frame: both drawn evenly up to these
	most       int        // slips in a photo, at most
}

// drawScene pastes slips into a picture, none over another.
func drawScene(t testing.TB, pic *picture, seed uint64, opt sceneOptions) *drawnScene {
	rng := rand.New(rand.NewPCG(seed, 0x5119))
	d := &drawnScene{quality: 60 + rng.IntN(36)}
	d.blurred = 0.4 + 0.7*rng.Float64()
	var taken []image.Rectangle
	for range 20 * opt.most {
		if len(d.laid) == opt.most {
			break
		}
		size := opt.sizes[0] * math.Pow(opt.sizes[1]/opt.sizes[0], rng.Float64())
		l := laid{Design: slip.Design{Number: 1 + rng.IntN(slip.PerSet), Set: 1 + rng.IntN(slip.Sets), Grey: rng.IntN(4) == 0}}
		l.pose = drawPose(rng, size, opt.tilt, opt.curl).at(rng.Float64()*float64(pic.wide), rng.Float64()*float64(pic.high))
		box := l.bounds(4)
		if !box.In(image.Rect(0, 0, pic.wide, pic.high)) ||
			slices.ContainsFunc(taken, func(b image.Rectangle) bool { return b.Overlaps(box) }) {
			continue
		}
		taken = append(taken, box)
		l.print = newPrint(l.Design, &printers[rng.IntN(len(printers))])
		l.light = drawLighting(rng, size)
		pic.paste(rng, &l.pose, l.print, &l.light)
		d.laid = append(d.laid, l)
	}
	for _, box := range taken {
		pic.blur(box, d.blurred)
	}
	d.photo = pic.photo(t, rng, 0.004+0.012*rng.Float64(), d.quality)
	return d
}

// photosOf are all photos among the shared data that can be opened.
func photosOf(t testing.TB) (paths []string) {
	fixture.NeedShared(t, "charts")
	require.NoError(t, filepath.WalkDir(fixture.Shared(), func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() && slices.Contains([]string{".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic", ".avif"},
			strings.ToLower(filepath.Ext(path))) {
			paths = append(paths, path)
		}
		return err
	}))
	slices.Sort(paths)
	return paths
}

// sizes are those that figures are told of, in pixels face on.
var sizes = [][2]float64{{40, 60}, {60, 80}, {80, 120}, {120, 200}, {200, 400}}

// backgrounds are the photos that slips are pasted into.
func backgrounds(t testing.TB) (all []*imageio.Photo) {
	for _, of := range []string{"charts/jtvd", "charts/jarrelscy", "charts/pierrre", "charts/plantcv", "wood/*"} {
		for _, path := range fixture.NeedShared(t, of+"/*.jpg") {
			p, err := imageio.Open(t.Context(), path)
			require.NoError(t, err)
			if min(p.Width, p.Height) >= 600 {
				all = append(all, p)
			}
		}
	}
	return all
}

// A tally is what became of the slips of one size.
type tally struct {
	laid, found float64
	wrong       int       // found where there is none, or under another name
	corners     []float64 // the worst corner of each, as a share of the width face on
}

// match counts what was found in a scene, and calls each with every slip that was.
func (n *tally) match(t *testing.T, d *drawnScene, got []slip.Slip, each func(*laid, *slip.Slip)) {
	used := map[int]bool{}
	for i := range d.laid {
		l := &d.laid[i]
		n.laid++
		truth := l.corners()
		hit := slices.IndexFunc(got, func(g slip.Slip) bool { return g.Design == l.Design && worst(g.Corners, truth) < 0.2*l.pixels })
		if hit < 0 {
			t.Logf("missed: %v of %.0f pixels, tilted %.0f°, curl %.2f, shadow %.2f, light %.2f, quality %d, blur %.2f, %s", l.Design, l.pixels,
				l.tilt*180/math.Pi, l.curl, l.light.shadow, l.light.level[1], d.quality, d.blurred, l.print.by.name)
			continue
		}
		used[hit] = true
		n.found++
		n.corners = append(n.corners, worst(got[hit].Corners, truth)/l.pixels)
		if each != nil {
			each(l, &got[hit])
		}
	}
	n.wrong += len(got) - len(used)
}

func worst(a, b [4]imageio.Point) (off float64) {
	for i := range a {
		off = max(off, math.Hypot(a[i].X-b[i].X, a[i].Y-b[i].Y))
	}
	return off
}

// firstTestSeed is where the seeds of tests begin: those below were used while the search was made.
const firstTestSeed = 100_000

// TestFindSlips pastes slips into real photos: printed by three models of a printer, tilted up to 50°, curled up to a third of their
// width over the radius, a third of them half in a shadow, in light of other colours, blurred, and saved as JPEG of quality 60 to 95.
func TestFindSlips(t *testing.T) {
	photos, scenes := backgrounds(t), figure.Draws(2, 20)
	large := tally{}
	var patches []patchError
	for k, size := range sizes {
		n := tally{}
		for i := range scenes {
			seed := uint64(firstTestSeed + 1000*k + i)
			d := drawScene(t, pictureOf(photos[int(seed*7)%len(photos)], 1200), seed, sceneOptions{sizes: size, tilt: 50, curl: 0.35, most: 6})
			got, err := slip.Find(t.Context(), d.photo)
			require.NoError(t, err)
			n.match(t, d, got, func(l *laid, s *slip.Slip) {
				if l.pixels >= slip.BestPixels {
					patches = append(patches, readPatches(t, d, l, s)...)
				}
			})
		}
		require.Zero(t, n.wrong, "found where there is none, or under another name")
		figure.Report(t, fmt.Sprintf("slips/found at %.0f", size[0]), "%.1f", 100*n.found/n.laid)
		t.Logf("%.0f–%.0f pixels: found %.0f of %.0f, worst corner %s", size[0], size[1], n.found, n.laid, shares(n.corners))
		switch {
		case size[0] >= 80:
			large.laid, large.found, large.corners = large.laid+n.laid, large.found+n.found, append(large.corners, n.corners...)
		case size[0] >= 60:
			figure.AtLeast(t, 0.87, n.found/n.laid, n.laid)
		}
	}
	figure.Report(t, "slips/found from 80", "%.1f %% of %.0f", 100*large.found/large.laid, large.laid)
	figure.AtLeast(t, 0.98, large.found/large.laid, large.laid)
	figure.Report(t, "slips/corners", "%s", shares(large.corners))
	require.Less(t, stat.Quantile(large.corners, 0.95), 0.006)
	requirePatches(t, patches)
}

func shares(corners []float64) string {
	q := stat.Quantiles(corners, 0.5, 0.95)
	return fmt.Sprintf("%.2f %%, 95 of 100: %.2f %%", 100*q[0], 100*q[1])
}

// Photos of 12 megapixels are searched at half their size, as are those of 5 in a short run: slips are found from as many pixels all
// the same.
func TestFindSlipsInLargePhotos(t *testing.T) {
	wood, err := imageio.Decode(t.Context(), imagetest.TwelveMegapixels(), "wood.jpg")
	require.NoError(t, err)
	wide := figure.Draws(2600, wood.Width)
	for k, size := range sizes[1:3] {
		n := tally{}
		for i := range figure.Draws(1, 3) {
			seed := uint64(2*firstTestSeed + 1000*k + i)
			d := drawScene(t, pictureOf(wood, wide), seed, sceneOptions{sizes: size, tilt: 50, curl: 0.35, most: figure.Draws(20, 60)})
			got, err := slip.Find(t.Context(), d.photo)
			require.NoError(t, err)
			n.match(t, d, got, nil)
		}
		require.Zero(t, n.wrong)
		figure.Report(t, fmt.Sprintf("slips/found at %.0f in 12 megapixels", size[0]), "%.1f", 100*n.found/n.laid)
		t.Logf("%.0f–%.0f pixels of 12 megapixels: found %.0f of %.0f, worst corner %s", size[0], size[1], n.found, n.laid, shares(n.corners))
		figure.AtLeast(t, []float64{0.87, 0.98}[k], n.found/n.laid, n.laid)
		if size[0] >= 80 {
			require.Less(t, stat.Quantile(n.corners, 0.95), 0.006)
		}
	}
}

// A slip in a mirror is no slip.
func TestMirroredSlipsAreRefused(t *testing.T) {
	rng := rand.New(rand.NewPCG(firstTestSeed, 3))
	pic := greyPicture(900, 700)
	for i, size := range []float64{90, 140, 200} {
		l := drawPose(rng, size, 30, 0).at(150+270*float64(i), 350)
		light := drawLighting(rng, size)
		pic.paste(rng, &l, newPrint(slip.Design{Number: 1 + i, Set: 5}, &printers[i]), &light)
	}
	upright, err := slip.Find(t.Context(), pic.photo(t, rng, 0.004, 95))
	require.NoError(t, err)
	require.Len(t, upright, 3)
	for y := range pic.high {
		row := pic.light[3*y*pic.wide:][:3*pic.wide]
		for x := range pic.wide / 2 {
			for k := range 3 {
				a, b := 3*x+k, 3*(pic.wide-1-x)+k
				row[a], row[b] = row[b], row[a]
			}
		}
	}
	found, err := slip.Find(t.Context(), pic.photo(t, rng, 0.004, 95))
	require.NoError(t, err)
	require.Empty(t, found)
}

func greyPicture(wide, high int) *picture {
	pic := &picture{wide, high, make([]float64, 3*wide*high)}
	for i := range pic.light {
		pic.light[i] = 0.2
	}
	return pic
}

// No shared photo shows a slip.
func TestNoSlipsInPhotosWithout(t *testing.T) {
	paths, opened := photosOf(t), 0
	for i, path := range paths {
		if i%figure.Draws(4, 1) != 0 {
			continue
		}
		p, err := imageio.Open(t.Context(), path)
		if err != nil {
			continue // some are there to be refused
		}
		found, err := slip.Find(t.Context(), p)
		require.NoError(t, err)
		require.Empty(t, found, path)
		opened++
	}
	figure.Report(t, "slips/photos without", "0 in %d", opened)
	require.Greater(t, opened, len(paths)/8)
}

// Whatever a picture holds, the search ends, and the patches of what it finds lie on the photo.
func FuzzFind(f *testing.F) {
	rng := rand.New(rand.NewPCG(9, 9))
	pic := greyPicture(120, 120)
	pose := drawPose(rng, 80, 20, 0).at(60, 60)
	light := drawLighting(rng, 80)
	pic.paste(rng, &pose, newPrint(slip.Design{Number: 2, Set: 3}, &printers[1]), &light)
	var codes []byte
	for i := 0; i < len(pic.light); i += 3 {
		codes = append(codes, byte(255*math.Sqrt(clamped(pic.light[i]))))
	}
	f.Add(120, codes)
	f.Add(1, []byte{0, 255})
	f.Fuzz(func(t *testing.T, wide int, codes []byte) {
		if wide < 1 || wide > 400 || len(codes) < wide || len(codes) > imagetest.FuzzedFile {
			return // larger pictures find no more
		}
		img := &image.Gray{Pix: codes, Stride: wide, Rect: image.Rect(0, 0, wide, len(codes)/wide)}
		p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "fuzz.png")
		require.NoError(t, err)
		found, err := slip.Find(t.Context(), p)
		require.NoError(t, err)
		for _, s := range found {
			patches, err := slip.Read(t.Context(), p, &s)
			require.True(t, err == nil || fault.Is(err, "slip.too-small"), err)
			for _, patch := range patches {
				require.NoError(t, patch.Outline.CheckOn(p))
			}
		}
	})
}

// The search ends with its context.
func TestFindStops(t *testing.T) {
	p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, image.NewRGBA(image.Rect(0, 0, 400, 400))), "black.png")
	require.NoError(t, err)
	contexttest.RequireStops(t, func(ctx context.Context) error {
		_, err := slip.Find(ctx, p)
		return err
	})
}
