package camera_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/colour/sensor"
	"huewright/internal/figure"
)

// A snap is a photo made up for these tests: gains, a tone bend, and nothing else. It records
// the bend the other way round than the fit undoes it.
type snap struct {
	gain [3]float64 // logarithms, of the sensor's channels
	bend [2]float64
}

// drawSnap draws how far apart photos of one piece are taken to be, as standard deviations:
// exposure 10 %, white balance and bend 5 %. White is balanced in the sensor's channels, of which the picture's have twice the spread.
func drawSnap(rng *rand.Rand) (s snap) {
	exposure := 0.10 * rng.NormFloat64()
	for k := range s.gain {
		s.gain[k] = exposure + 0.025*rng.NormFloat64()
	}
	s.bend = [2]float64{0.05 * rng.NormFloat64(), 0.05 * rng.NormFloat64()}
	return s
}

// sensorMixing is how a sensor's channels are mixed into those of the picture: a matrix somewhat stronger than usual.
var sensorMixing = mat.NewDense(3, 3, []float64{2.15, -1.15, 0, -0.25, 1.75, -0.5, 0.1, -0.75, 1.65})

// mixed is a colour as a camera records it that balances the channels of its sensor so.
func mixed(c colour.LinearRGB, gain [3]float64) colour.LinearRGB {
	var raw, out mat.VecDense
	if raw.SolveVec(sensorMixing, mat.NewVecDense(3, []float64{c.R, c.G, c.B})) != nil {
		panic("channels are not mixed")
	}
	for k, g := range gain {
		raw.SetVec(k, math.Exp(g)*raw.AtVec(k))
	}
	out.MulVec(sensorMixing, &raw)
	return colour.LinearRGB{R: out.AtVec(0), G: out.AtVec(1), B: out.AtVec(2)}
}

func (s snap) record(c colour.Lab) colour.LinearRGB {
	rgb := mixed(c.LinearRGB(), s.gain)
	channel := func(v float64) float64 {
		log := math.Log(max(v, 1e-4))
		z := log + 1.5
		return math.Exp(log + s.bend[0]*z + 0.3*s.bend[1]*z*z)
	}
	return colour.LinearRGB{R: channel(rgb.R), G: channel(rgb.G), B: channel(rgb.B)}
}

func noisy(rng *rand.Rand, c colour.Lab, sd float64) colour.Lab {
	return colour.Lab{L: c.L + sd*rng.NormFloat64(), A: c.A + sd*rng.NormFloat64(), B: c.B + sd*rng.NormFloat64()}
}

var (
	slip = colour.Lab{L: 94, A: 0, B: 2}
	pale = colour.Lab{L: 80, A: 4, B: 19}
	dark = colour.Lab{L: 48, A: 15, B: 20}
)

// measuredWoods are what is measured: some like the ties, some not.
var measuredWoods = []colour.Lab{
	{L: 76, A: 6, B: 22}, {L: 62, A: 11, B: 22}, {L: 52, A: 13, B: 18}, {L: 40, A: 12, B: 14}, {L: 30, A: 7, B: 9},
}

// take sees the given ties in a photo, each read with noise of 0.5.
func (s snap) take(rng *rand.Rand, ties map[string]colour.Lab) (p camera.PhotoView) {
	for _, name := range []string{"slip", "pale", "dark"} {
		if lab, shown := ties[name]; shown {
			p.Ties = append(p.Ties, camera.TiePoint{Name: name, Camera: s.record(noisy(rng, lab, 0.5))})
		}
	}
	return p
}

func minus(a, b colour.Lab) colour.Lab { return colour.Lab{L: a.L - b.L, A: a.A - b.A, B: a.B - b.B} }
func plus(a, b colour.Lab) colour.Lab  { return colour.Lab{L: a.L + b.L, A: a.A + b.A, B: a.B + b.B} }

// The stated radius of the difference of two colours in two photos holds what the photos get
// wrong about it.
func TestBetweenPhotosCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 14))
	for _, row := range []struct {
		name string
		ties map[string]colour.Lab
		most float64 // mean error that is let pass
	}{
		{"nothing", nil, 6},
		{"slip", map[string]colour.Lab{"slip": slip}, 2.5},
		{"slip and pale wood", map[string]colour.Lab{"slip": slip, "pale": pale}, 1.8},
		{"slip, pale and dark wood", map[string]colour.Lab{"slip": slip, "pale": pale, "dark": dark}, 1.2},
	} {
		var same, other tally
		for range 100 {
			snaps := []snap{drawSnap(rng), drawSnap(rng), drawSnap(rng)}
			var photos []camera.PhotoView
			for _, s := range snaps {
				photos = append(photos, s.take(rng, row.ties))
			}
			j, err := camera.FitJoint(t.Context(), photos)
			require.NoError(t, err)
			for range 20 {
				a, b := rng.IntN(3), rng.IntN(3)
				if a == b {
					continue
				}
				x, y := measuredWoods[rng.IntN(len(measuredWoods))], measuredWoods[rng.IntN(len(measuredWoods))]
				gotX, gotY := j.Correction(a).Lab(snaps[a].record(x)), j.Correction(b).Lab(snaps[b].record(y))
				wrong := minus(minus(gotX, gotY), minus(x, y))
				row := &other
				if x == y {
					row = &same
				}
				row.add(colour.DeltaE2000(gotX, plus(gotX, wrong)), j.PlusMinusBetween(a, gotX, b, gotY))
			}
		}
		t.Logf("tied by %-26s one colour: %v; two: %v", row.name, same, other)
		figure.Report(t, "between photos/"+row.name, "%.0f %%", 100*same.share())
		require.Greater(t, same.share(), 0.9)
		require.Greater(t, other.share(), 0.9)
		require.Less(t, same.off/same.trials, row.most)
	}
}

// Where photos agree about many tie points better than was stated of them, what is stated of the photos is narrower, and wider where they
// agree less; two tie points tell little of it.
func TestTiesTellTheirNoise(t *testing.T) {
	radius := func(ties int, sd float64) float64 {
		rng := rand.New(rand.NewPCG(5, 17))
		photos := make([]camera.PhotoView, 3)
		for i := range photos {
			s := drawSnap(rng)
			for k := range ties {
				is := colour.Lab{L: 35 + 55*float64(k)/float64(ties), A: 4 + 3*float64(k%3), B: 6 + 4*float64(k%4)}
				photos[i].Ties = append(photos[i].Ties, camera.TiePoint{Name: fmt.Sprint(k), Camera: s.record(noisy(rng, is, sd))})
			}
		}
		j, err := camera.FitJoint(t.Context(), photos)
		require.NoError(t, err)
		return j.PlusMinusBetween(0, pale, 1, pale)
	}
	require.Less(t, radius(16, 0.1), 0.75*radius(16, 0.5))
	require.Greater(t, radius(16, 1.5), 1.5*radius(16, 0.5))
	require.Greater(t, radius(2, 0.1), 0.75*radius(2, 0.5))
}

// A tally counts how often a stated radius held what went wrong.
type tally struct{ held, trials, off, radius float64 }

func (t *tally) add(off, radius float64) {
	t.trials++
	t.off += off
	t.radius += radius
	if off <= radius {
		t.held++
	}
}

func (t tally) share() float64 { return t.held / t.trials }

func (t tally) String() string {
	return fmt.Sprintf("mean error %5.2f, radius %5.2f, holds %3.0f %%", t.off/t.trials, t.radius/t.trials, 100*t.share())
}

func tiedBy(t *testing.T, rng *rand.Rand, snaps []snap, ties map[string]colour.Lab) *camera.Joint {
	t.Helper()
	var photos []camera.PhotoView
	for _, s := range snaps {
		photos = append(photos, s.take(rng, ties))
	}
	j, err := camera.FitJoint(t.Context(), photos)
	require.NoError(t, err)
	return j
}

// A raw photo alone, with a slip of paper in it, is corrected as FitAs corrects it, and is as sure.
func TestJointOfOneRawPhoto(t *testing.T) {
	paper := colour.Lab{L: 94}
	slip := []camera.Sample{{Name: "slip", Camera: colour.Lab{L: 90, A: 1, B: 3}.LinearRGB(), Want: paper}}
	alone, _, err := camera.FitAs(sensor.Daylight, slip)
	require.NoError(t, err)
	j, err := camera.FitJoint(t.Context(), []camera.PhotoView{{Light: sensor.Daylight, Known: slip}})
	require.NoError(t, err)
	for _, wood := range measuredWoods {
		c := wood.LinearRGB()
		require.Less(t, colour.DeltaE2000(alone.Lab(c), j.Correction(0).Lab(c)), 0.1)
		require.InDelta(t, alone.PlusMinus(wood), j.Correction(0).PlusMinus(wood), 0.3)
	}
}

// One photo alone is corrected as Fit corrects it.
func TestJointOfOnePhoto(t *testing.T) {
	chart := chartBy(warm)
	alone, _, err := camera.Fit(chart)
	require.NoError(t, err)
	j, err := camera.FitJoint(t.Context(), []camera.PhotoView{{Known: chart}})
	require.NoError(t, err)
	for _, wood := range measuredWoods {
		c := warm.record(wood, camera.Position{})
		require.Less(t, colour.DeltaE2000(alone.Lab(c), j.Correction(0).Lab(c)), 0.2)
		require.InDelta(t, alone.PlusMinus(wood), j.Correction(0).PlusMinus(wood), 0.3)
		require.InDelta(t, alone.PlusMinusBetween(wood, dark), j.PlusMinusBetween(0, wood, 0, dark), 0.3)
	}
}

// A chart in one photo makes a photo without one surer in itself, by way of a tie, and the
// more so the more alike the tie is to what is read.
func TestChartReachesOverATie(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 71))
	other := drawSnap(rng)
	with := camera.PhotoView{Known: chartBy(warm)}
	for _, tie := range []struct {
		name string
		lab  colour.Lab
	}{{"slip", slip}, {"pale", pale}} {
		with.Ties = append(with.Ties, camera.TiePoint{Name: tie.name, Camera: warm.record(tie.lab, camera.Position{})})
	}
	ties := map[string]colour.Lab{"slip": slip, "pale": pale}
	without := other.take(rng, ties)
	without.Camera = "another"
	j, err := camera.FitJoint(t.Context(), []camera.PhotoView{with, without})
	require.NoError(t, err)
	lone := tiedBy(t, rng, []snap{other}, nil)
	for _, wood := range measuredWoods[:3] {
		off := colour.DeltaE2000(wood, j.Correction(1).Lab(other.record(wood)))
		require.Less(t, off, j.Correction(1).PlusMinus(wood))
		require.Less(t, j.Correction(1).PlusMinus(wood), lone.Correction(0).PlusMinus(wood)/2)
	}
	nearTie, farFromIt := j.Correction(1).PlusMinus(pale), j.Correction(1).PlusMinus(measuredWoods[4])
	require.Less(t, nearTie, farFromIt)
}

func TestTiesReported(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 61))
	snaps := []snap{drawSnap(rng), drawSnap(rng), drawSnap(rng)}
	j := tiedBy(t, rng, snaps, map[string]colour.Lab{"slip": slip, "pale": pale})
	require.Len(t, j.Ties(), 2)
	require.Equal(t, "pale", j.Ties()[0].Name)
	require.Equal(t, []int{0, 1, 2}, j.Ties()[1].Photos)
	for _, tie := range j.Ties() {
		for _, off := range tie.Off {
			require.Less(t, off, 2.0)
		}
	}
}

// Photos hang together along a chain, and by known colours; not by a tie seen once.
func TestTied(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 41))
	s := drawSnap(rng)
	only := func(names ...string) camera.PhotoView {
		ties := map[string]colour.Lab{}
		for _, name := range names {
			ties[name] = map[string]colour.Lab{"slip": slip, "pale": pale, "dark": dark}[name]
		}
		return s.take(rng, ties)
	}
	card := only()
	card.Known = []camera.Sample{{Name: "card", Camera: s.record(colour.Lab{L: 50}), Want: colour.Lab{L: 50}}}
	j, err := camera.FitJoint(t.Context(), []camera.PhotoView{only("slip"), only("slip", "pale"), only("pale"), only("dark"), card, card})
	require.NoError(t, err)
	require.True(t, j.Tied(0, 2))
	require.False(t, j.Tied(0, 3))
	require.False(t, j.Tied(0, 4))
	require.True(t, j.Tied(4, 5))
	wood := measuredWoods[1]
	require.Less(t, j.PlusMinusBetween(0, wood, 1, wood), 8.0)
	require.Greater(t, j.PlusMinusBetween(0, wood, 3, wood), 15.0)
}

func TestFitJointFaults(t *testing.T) {
	tie := camera.TiePoint{Name: "slip", Camera: colour.LinearRGB{R: 0.5, G: 0.5, B: 0.5}}
	bad := tie
	bad.Camera.G = math.NaN()
	for says, photo := range map[string]camera.PhotoView{
		"tie.twice front name=slip":        {Name: "front", Ties: []camera.TiePoint{tie, tie}},
		"colour.no-number front name=slip": {Name: "front", Ties: []camera.TiePoint{bad}},
		"colour.no-number front name=card": {Name: "front", Known: []camera.Sample{{Name: "card", Want: colour.Lab{L: math.NaN()}}}},
	} {
		_, err := camera.FitJoint(t.Context(), []camera.PhotoView{photo})
		require.EqualError(t, err, says)
	}
}

func TestJointSlopes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 93))
	ties := map[string]colour.Lab{"slip": slip, "pale": pale, "dark": dark}
	a, b := drawSnap(rng).take(rng, ties), drawSnap(rng).take(rng, ties)
	a.Known, b.Known = chartBy(warm), chartBy(warm)[:3]
	c := drawSnap(rng).take(rng, ties)
	c.Camera = "another"
	d := drawSnap(rng).take(rng, ties)
	d.Light, d.Known = sensor.Daylight, chartBy(warm)[:2]
	camera.RequireJointSlopes(t, rng, []camera.PhotoView{a, b, c, d})
}

func TestFitJointStops(t *testing.T) {
	photos := []camera.PhotoView{
		{Name: "a", Ties: []camera.TiePoint{{Name: "slip", Camera: colour.LinearRGB{R: 0.5, G: 0.5, B: 0.5}}}},
		{Name: "b", Ties: []camera.TiePoint{{Name: "slip", Camera: colour.LinearRGB{R: 0.6, G: 0.5, B: 0.4}}}},
	}
	_, err := camera.FitJoint(t.Context(), photos)
	require.NoError(t, err)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	j, err := camera.FitJoint(ended, photos)
	require.Equal(t, context.Canceled, err)
	require.Nil(t, j)
}
