package chart_test

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/internal/plane"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// A goodPhoto is the surroundings of a chart in a real photo, in linear light, for bad conditions to be laid over.
type goodPhoto struct {
	name       string
	wide, high int
	light      []colour.LinearRGB
	corners    [4]imageio.Point
	face       plane.Homography // from the patch field, 0–1 each way, to pixels
}

// goodPhotos are the charts that are found in real photos, cut out and at most 640 pixels long.
func goodPhotos(t *testing.T, pattern string) (all []goodPhoto) {
	t.Helper()
	for _, path := range fixture.NeedShared(t, pattern) {
		photo, err := imageio.Open(t.Context(), path)
		if err != nil {
			continue
		}
		found, err := chart.Find(t.Context(), photo, chart.Search{})
		if err != nil {
			continue
		}
		all = append(all, cutOut(path, photo, found.Corners))
	}
	return all
}

func cutOut(path string, photo *imageio.Photo, q [4]imageio.Point) goodPhoto {
	const longest, besides = 640.0, 0.25
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), 0.0, 0.0
	for _, c := range q {
		x0, y0, x1, y1 = min(x0, c.X), min(y0, c.Y), max(x1, c.X), max(y1, c.Y)
	}
	edge := besides * max(x1-x0, y1-y0)
	x0, y0 = math.Floor(max(x0-edge, 0)), math.Floor(max(y0-edge, 0))
	x1, y1 = min(x1+edge, float64(photo.Width)), min(y1+edge, float64(photo.Height))
	k := int(math.Ceil(max(x1-x0, y1-y0) / longest))
	g := goodPhoto{name: path, wide: int(x1-x0) / k, high: int(y1-y0) / k}
	for y := range g.high {
		for x := range g.wide {
			var sum colour.LinearRGB
			for i := range k * k {
				c := photo.Linear(int(x0)+k*x+i%k, int(y0)+k*y+i/k)
				sum.R, sum.G, sum.B = sum.R+c.R/float64(k*k), sum.G+c.G/float64(k*k), sum.B+c.B/float64(k*k)
			}
			g.light = append(g.light, sum)
		}
	}
	for i, c := range q {
		g.corners[i] = imageio.Point{X: (c.X - x0) / float64(k), Y: (c.Y - y0) / float64(k)}
	}
	g.face = plane.FromCorners(g.corners)
	return g
}

// under is the photo with its light changed by a function of the place on the chart: 6 patches wide, 4 high.
func (g *goodPhoto) under(t *testing.T, change func(u, v float64, c colour.LinearRGB) colour.LinearRGB) *imageio.Photo {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, g.wide, g.high))
	for i, c := range g.light {
		u, v, ok := g.face.Inverse(imageio.Point{X: float64(i%g.wide) + 0.5, Y: float64(i/g.wide) + 0.5})
		require.True(t, ok)
		out := change(6*u, 4*v, c).Encode()
		img.SetNRGBA(i%g.wide, i/g.wide, color.NRGBA{out.R, out.G, out.B, 255})
	}
	photo, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "changed.png")
	require.NoError(t, err)
	return photo
}

// A shadowEdge is a straight one over the chart: what lies beyond gets a share of the light, a little bluer.
type shadowEdge struct {
	sin, cos, at float64
	soft         float64 // width of the penumbra, patches
	left         float64 // share of the light in the shadow
	blue         float64 // logarithm of how much bluer
}

// drawShadow draws an edge with at least five patches on either side.
func drawShadow(rng *rand.Rand, left float64) shadowEdge {
	for {
		s := shadowEdge{at: 4.5 * (rng.Float64() - 0.5), soft: 0.02 + 0.8*rng.Float64(), left: left, blue: 0.1 * rng.Float64()}
		s.sin, s.cos = math.Sincos(2 * math.Pi * rng.Float64())
		dark := 0
		for i := range 24 {
			if s.share(float64(i%6)+0.5, float64(i/6)+0.5) > 0.5 {
				dark++
			}
		}
		if dark >= 5 && dark <= 19 {
			return s
		}
	}
}

// share is how much of the shadow falls on a place, 0–1.
func (s shadowEdge) share(u, v float64) float64 {
	d := ((u-3)*s.cos+(v-2)*s.sin-s.at)/s.soft + 0.5
	return min(max(d, 0), 1)
}

func (s shadowEdge) on(u, v float64, c colour.LinearRGB) colour.LinearRGB {
	k := 1 - s.share(u, v)*(1-s.left)
	b := math.Exp(s.blue * s.share(u, v))
	return colour.LinearRGB{R: c.R * k / math.Sqrt(b), G: c.G * k, B: c.B * k * math.Sqrt(b)}
}

// A glareSpot is a lamp's reflection over a patch: its light is added, most in the middle.
type glareSpot struct {
	patch      int
	u, v, wide float64 // where, from the middle of the patch, and how wide; patches
	light      float64 // added in the middle, as a share of the light of white
}

// drawGlare draws reflections over two patches, half of the time neighbours, as one lamp would make them.
func drawGlare(rng *rand.Rand) (spots [2]glareSpot) {
	for i := range spots {
		spots[i] = glareSpot{
			patch: rng.IntN(24), u: 0.4 * (rng.Float64() - 0.5), v: 0.4 * (rng.Float64() - 0.5), wide: 0.3 + 0.5*rng.Float64(),
			light: 0.15 + 0.6*rng.Float64(),
		}
	}
	first := spots[0].patch
	if rng.IntN(2) == 0 {
		spots[1].patch = first + 1
		if first%6 == 5 {
			spots[1].patch = first - 1
		}
	}
	if spots[1].patch == first {
		return drawGlare(rng)
	}
	return spots
}

// glareOn adds the reflections at a place; a patch's own surface shines, not the card between patches.
func glareOn(spots [2]glareSpot, u, v float64, c colour.LinearRGB) colour.LinearRGB {
	for _, s := range spots {
		if int(math.Floor(u)) != s.patch%6 || int(math.Floor(v)) != s.patch/6 {
			continue
		}
		du, dv := (u-float64(s.patch%6)-0.5-s.u)/s.wide, (v-float64(s.patch/6)-0.5-s.v)/s.wide
		add := s.light * math.Exp(-2*(du*du+dv*dv))
		c.R, c.G, c.B = c.R+add, c.G+add, c.B+add
	}
	return c
}

// draws is how many conditions are drawn over each photo.
func draws() int { return figure.Draws(1, 6) }

// readUnder is what becomes of a chart in a changed photo: what it makes of a brown wood, and what is said of it.
func readUnder(t *testing.T, p *imageio.Photo) (wood colour.Lab, seen *chart.Chart, report camera.Report, err error) {
	t.Helper()
	found, err := chart.Find(t.Context(), p, chart.Search{})
	if err != nil {
		return wood, nil, report, err
	}
	c, report, seen, err := chart.Fit(t.Context(), p, found.Corners, chart.Options{})
	if err != nil {
		return wood, nil, report, err
	}
	return c.Lab(colour.LinearRGB{R: 0.3, G: 0.2, B: 0.1}), seen, report, nil
}

var twoLights = []fault.Code{"chart.shadow", "chart.second-light", "chart.light-changes", "chart.hue-changes"}

func warnsOf(c *chart.Chart, codes []fault.Code) bool {
	return slices.ContainsFunc(imagetest.Codes(c.Warnings), func(w fault.Code) bool { return slices.Contains(codes, w) })
}

// The constants were chosen on other draws, from the seeds 101 and 1911.
func TestShadowOnRealCharts(t *testing.T) {
	photos := append(goodPhotos(t, "charts/jtvd/*"), goodPhotos(t, "charts/plantcv/*")...)
	rng := rand.New(rand.NewPCG(2911, 1))
	for _, left := range []float64{0.4, 0.6} {
		n, warned := 0, 0
		for i := range photos {
			for range draws() {
				s := drawShadow(rng, left)
				n++
				_, seen, _, err := readUnder(t, photos[i].under(t, s.on))
				if err == nil && warnsOf(seen, twoLights) {
					warned++
				} else {
					t.Logf("photo %d, %+v: %v", i, s, err)
				}
			}
		}
		figure.Report(t, fmt.Sprintf("chart/shadow that takes %.0f %%", 100*(1-left)), "%d of %d", warned, n)
		if left == 0.4 {
			figure.AtLeast(t, 0.9, float64(warned)/float64(n), float64(n))
		}
	}
	n, warned := 0, 0
	for i := range photos {
		for range draws() {
			l := drawLamp(rng)
			n++
			_, seen, _, err := readUnder(t, photos[i].under(t, l.on))
			if err == nil && warnsOf(seen, twoLights) {
				warned++
			} else {
				t.Logf("photo %d, %+v: %v", i, l, err)
			}
		}
	}
	figure.Report(t, "chart/lamp from one side", "%d of %d", warned, n)
}

// A lampBeside is a warm lamp that adds to the light of one side.
type lampBeside struct{ sin, cos, light, warm float64 }

func drawLamp(rng *rand.Rand) lampBeside {
	l := lampBeside{light: 1 + rng.Float64(), warm: 0.4 + 0.4*rng.Float64()}
	l.sin, l.cos = math.Sincos(2 * math.Pi * rng.Float64())
	return l
}

// on adds the lamp's light, which falls off from one side of the chart to the other.
func (l lampBeside) on(u, v float64, c colour.LinearRGB) colour.LinearRGB {
	add := 0.4 * l.light * math.Exp(0.4*((u-3)*l.cos+(v-2)*l.sin))
	k := 1 / (1 + l.light) // the camera exposes for both
	return colour.LinearRGB{
		R: k * c.R * (1 + add*math.Exp(l.warm/2)), G: k * c.G * (1 + add), B: k * c.B * (1 + add*math.Exp(-l.warm/2)),
	}
}

func TestGlareOnRealCharts(t *testing.T) {
	photos := append(goodPhotos(t, "charts/jtvd/*"), goodPhotos(t, "charts/plantcv/*")...)
	rng := rand.New(rand.NewPCG(912, 1))
	n, used, out, named := 0, 0, 0, 0
	for i := range photos {
		clean, _, _, err := readUnder(t, photos[i].under(t, func(_, _ float64, c colour.LinearRGB) colour.LinearRGB { return c }))
		require.NoError(t, err)
		for range draws() {
			spots := drawGlare(rng)
			n++
			wood, _, report, err := readUnder(t, photos[i].under(t, func(u, v float64, c colour.LinearRGB) colour.LinearRGB {
				return glareOn(spots, u, v, c)
			}))
			if err == nil && colour.DeltaE2000(clean, wood) < 1 {
				used++
			} else {
				t.Logf("photo %d, %+v: %v, wood off by %.1f", i, spots, err, colour.DeltaE2000(clean, wood))
			}
			for _, s := range spots {
				if err == nil && !report.Patches[s.patch].Used {
					out++
					if report.Patches[s.patch].Why.Code == "patch.glare" {
						named++
					}
				}
			}
		}
	}
	figure.Report(t, "chart/two glaring patches", "%d of %d", used, n)
	figure.Report(t, "chart/glaring patches left out", "%d of %d", out, 2*n)
	figure.Report(t, "chart/glaring patches named", "%d of %d", named, out)
	figure.AtLeast(t, 0.9, float64(used)/float64(n), float64(n))
	figure.AtLeast(t, 0.85, float64(named)/float64(out), float64(out))
}

// unevenWebcams are the photos by webcams in whose patches light does change over the chart, as a look at them tells without any model.
// In three, patches of one hue get darker from left to right in each hue, by two thirds. In one, red, yellow and magenta of the third row
// and the greys below have 0.57 of the red that like hues have above them, all alike: the edge of a shadow. Of the rest nobody can say: the
// photos themselves are not here, only what their patches show.
var unevenWebcams = []string{"checker_imgs_check11.png", "checker_imgs_check41.png", "checker_imgs_check48.png", "checker_imgs_check23.png"}

// Charts as they are in the photos of others: hardly any is warned of, but those in which light does change.
func TestLightOnGoodCharts(t *testing.T) {
	good, warned := map[string]int{}, map[string]int{}
	uneven, told := 0, 0
	for _, card := range imagetest.Cards(t) {
		var samples []camera.Sample
		for i := range card.Light {
			s := camera.Sample{Camera: card.Light[i], Want: card.Want[i],
				At: camera.Position{X: (float64(i%6)+0.5)/6 - 0.5, Y: (float64(i/6)+0.5)/4 - 0.5}}
			if card.Skipped[i] {
				s.Skip = fault.Say(fault.Said, "text", "burnt out")
			}
			samples = append(samples, s)
		}
		warns := chart.WarnsOfLight(samples)
		if slices.ContainsFunc(unevenWebcams, func(name string) bool { return strings.HasSuffix(card.Name, "/"+name) }) {
			uneven++
			if warns {
				told++
			}
			continue
		}
		good[card.Camera]++
		if warns {
			warned[card.Camera]++
			t.Log(card.Name)
		}
	}
	for _, path := range fixture.NeedShared(t, "charts/*/*") {
		photo, err := imageio.Open(t.Context(), path)
		if err != nil {
			continue
		}
		_, seen, _, err := readUnder(t, photo)
		if err != nil {
			continue
		}
		good["photo"]++
		if warnsOf(seen, twoLights) {
			warned["photo"]++
			t.Log(path, imagetest.Codes(seen.Warnings))
		}
	}
	for name, kind := range map[string]string{"phones and cameras": "P", "scanners": "F", "webcams": "W", "photos": "photo"} {
		figure.Report(t, "chart/warned of, "+name, "%d of %d", warned[kind], good[kind])
	}
	figure.Report(t, "chart/uneven webcams told", "%d of %d", told, uneven)
	require.LessOrEqual(t, 20*(warned["P"]+warned["F"]+warned["photo"]), good["P"]+good["F"]+good["photo"])
	require.LessOrEqual(t, 4*warned["W"], good["W"])
	require.GreaterOrEqual(t, 4*told, 3*uneven)
}
