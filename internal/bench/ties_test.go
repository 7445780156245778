package bench

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/figure"
)

// quarterView draws small pictures, so that there can be many.
var quarterView = View{Width: 800, Height: 600, SamplesPerSide: 1}

// again is the camera as it takes the next photo: exposure off by 10 %, white balance and
// gamma by 5 %, one standard deviation each.
func (c Camera) again(rng *rand.Rand) Camera {
	c.Exposure *= math.Exp(0.10 * rng.NormFloat64())
	for k := range c.Balance {
		c.Balance[k] *= math.Exp(0.05 * rng.NormFloat64())
	}
	c.Gamma *= 1 + 0.05*rng.NormFloat64()
	c.Seed = rng.Uint64()
	return c
}

// A shoot is one cabinet in three photos by one camera, solved together without any chart.
type shoot struct {
	shots   [3]*Shot
	cameras [3]Camera
	photos  [3]*imageio.Photo
	joint   *camera.Joint
	home    bool             // all is read in the first photo, whichever is asked for
	light   [3]imageio.Light // over each photo, where it is known
}

func newShoot(t *testing.T, opt CabinetOptions, rendering Rendering) *shoot {
	t.Helper()
	return newShootIn(t, opt, rendering, false)
}

func newShootIn(t *testing.T, opt CabinetOptions, rendering Rendering, even bool) *shoot {
	t.Helper()
	return newShootOf(t, opt, rendering, even, quarterView)
}

func newShootOf(t *testing.T, opt CabinetOptions, rendering Rendering, even bool, view View) *shoot {
	t.Helper()
	seed := opt.Seed
	rng := rand.New(rand.NewPCG(seed, 0x71e5))
	scene := Cabinet(opt)
	camera := DrawCamera(seed, rendering)
	camera.Exposure = min(camera.Exposure, 0.85)
	if even {
		camera.Gradient, camera.Vignette = 0, 0
	}
	s := &shoot{}
	for i := range s.shots {
		view.TiltX, view.TiltY = 0.02*rng.NormFloat64(), 0.02*rng.NormFloat64()
		s.cameras[i] = camera.again(rng)
		s.shots[i] = scene.Shoot(view, s.cameras[i])
		var err error
		s.photos[i], err = imageio.Decode(t.Context(), s.shots[i].JPEG, "cabinet.jpg")
		require.NoError(t, err)
	}
	return s
}

// solve fits the three photos by the given ties.
func (s *shoot) solve(t *testing.T, ties []string) {
	t.Helper()
	sights := make([]camera.PhotoView, len(s.shots))
	for i := range sights {
		for _, name := range ties {
			patch, err := sample.ReadPatch(t.Context(), s.photos[i], s.shots[i].Area(name).Outline)
			require.NoError(t, err)
			sights[i].Ties = append(sights[i].Ties, camera.TiePoint{Name: name, Camera: patch.Mean})
		}
	}
	var err error
	s.joint, err = camera.FitJoint(t.Context(), sights)
	require.NoError(t, err)
}

func (s *shoot) read(t *testing.T, photo int, name string) colour.Reading {
	t.Helper()
	outline := s.shots[photo].Area(name).Outline
	opt := sample.Options{Name: name, Light: s.light[photo]}
	r, err := sample.Read(t.Context(), s.photos[photo], outline, s.joint.Correction(photo), opt)
	require.NoError(t, err)
	return r
}

func (s *shoot) measured(t *testing.T, photo int, name string) learn.Measured {
	if s.home {
		photo = 0
	}
	r := s.read(t, photo, name)
	return learn.Measured{Lab: r.Mean, PlusMinus: r.PlusMinus, Own: max(r.Sampling, 0.1), Photo: fmt.Sprint(photo)}
}

// evidence is the dried paint and one coat on each wood, the bare woods read in the first photo
// and the rest in the second.
func (s *shoot) evidence(t *testing.T) learn.Evidence {
	return evidence(func(name string) learn.Measured {
		if name == FrameBare || name == PanelBare {
			return s.measured(t, 0, name)
		}
		return s.measured(t, 1, name)
	})
}

// shared is the covariance of two readings' errors because of their photos.
func (s *shoot) shared(a, b learn.Measured) [3][3]float64 {
	return s.joint.Covariance(int(a.Photo[0]-'0'), a.Lab, int(b.Photo[0]-'0'), b.Lab)
}

// A tiedRow is what one way of tying photos comes to.
type tiedRow struct {
	name     string
	ties     []string
	onePhoto bool // everything is read in the first
	truth    bool // and is not read at all, but known
	tiedScore
}

// A tiedScore sums over cabinets how many counts are exact and within one, and how the woods that are in two photos agree.
type tiedScore struct{ exact, near, held, off, radius float64 }

// addPairs adds how far a wood reads apart in two photos, and what is said of it.
func (r *tiedScore) addPairs(t *testing.T, s *shoot) {
	for _, name := range tiedPairs {
		a, b := s.read(t, 0, name), s.read(t, 1, name)
		d, said := colour.DeltaE2000(a.Mean, b.Mean), s.joint.PlusMinusBetween(0, a.Mean, 1, b.Mean)
		if d <= said {
			r.held++
		}
		r.off, r.radius = r.off+d, r.radius+said
	}
}

// TestTiedCabinets counts coats where bare woods, test coats and target are in three photos
// without a chart, and holds what is stated of one wood in two photos against the truth: once in
// light that falls off across each photo as it does in a garage, once in even light.
func TestTiedCabinets(t *testing.T) {
	cabinets := figure.Draws(3, 30)
	for _, light := range []string{"light falling off", "even light"} {
		t.Run(light, func(t *testing.T) {
			rows := []tiedRow{
				{name: "nothing"},
				{name: "slip", ties: []string{Slip}},
				{name: "slip and pale wood", ties: []string{Slip, FrameBare}},
				{name: "slip, pale and dark wood", ties: []string{Slip, FrameBare, PanelBare}},
				{name: "all in one photo", onePhoto: true},
				{name: "true colours", truth: true},
			}
			for seed := range uint64(cabinets) {
				s := newShootIn(t, DrawCabinet(seed), Mild, light == "even light")
				s.tie(t, rows, seed)
			}
			trials, pairs := float64(2*cabinets), float64(len(tiedPairs)*cabinets)
			for _, row := range rows {
				counts := fmt.Sprintf("%.0f / %.0f %%", 100*row.exact/trials, 100*row.near/trials)
				if row.onePhoto || row.truth {
					figure.Report(t, "tied cabinets, "+light+"/"+row.name, "%s", counts)
					t.Logf("%-33s counts exact %3.0f %%, within one %3.0f %%", row.name, 100*row.exact/trials, 100*row.near/trials)
					continue
				}
				t.Logf("tied by %-25s counts exact %3.0f %%, within one %3.0f %%; "+
					"a wood in two photos %.1f ΔE00 apart, said ± %.1f, holds %3.0f %%",
					row.name, 100*row.exact/trials, 100*row.near/trials, row.off/pairs, row.radius/pairs, 100*row.held/pairs)
				figure.Report(t, "tied cabinets, "+light+"/"+row.name, "%s, %.0f %%", counts, 100*row.held/pairs)
			}
			untied, tied := &rows[0], &rows[2]
			require.Less(t, tied.off, untied.off/2)
			if figure.Long() { // of few cabinets one count decides it
				require.Greater(t, tied.exact, untied.exact)
			}
			for _, row := range rows[:4] {
				figure.AtLeast(t, 0.85, row.held/pairs, pairs, row.name)
			}
		})
	}
}

// tiedPairs are the areas whose colours in two photos are compared.
var tiedPairs = []string{Frame, Panel, FrameTested, PanelTested, Target}

// tie adds what one cabinet comes to to each row.
func (s *shoot) tie(t *testing.T, rows []tiedRow, seed uint64) {
	const most = 12
	wash := DrawCabinet(seed).Wash
	asks := [][2]string{{Frame, Target}, {Panel, SecondBoard}}
	for i := range rows {
		row := &rows[i]
		s.solve(t, row.ties)
		s.home = row.onePhoto
		told, known := s.measured, s.evidence(t)
		if row.truth {
			told = func(_ *testing.T, _ int, name string) learn.Measured {
				return learn.Measured{Lab: s.shots[0].Area(name).Lab}
			}
			known = evidence(func(name string) learn.Measured { return told(t, 0, name) })
		}
		var colours [][2]learn.Measured
		for _, ask := range asks {
			colours = append(colours, [2]learn.Measured{told(t, 0, ask[0]), told(t, 2, ask[1])})
		}
		for i, c := range planned(t, wash.Name, known, s.shared, colours) {
			best, _ := s.shots[0].Area(asks[i][0]).BestCount(wash, s.shots[0].Area(asks[i][1]).Lab, most)
			row.exact += within(c.Count, best, 0)
			row.near += within(c.Count, best, 1)
		}
		row.addPairs(t, s)
	}
}
