package bench

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/colour"
	"huewright/imageio"
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
	shots  [3]*Shot
	photos [3]*imageio.Photo
	joint  *colour.Joint
}

func newShoot(t *testing.T, opt CabinetOptions, rendering Rendering) *shoot {
	t.Helper()
	seed := opt.Seed
	rng := rand.New(rand.NewPCG(seed, 0x71e5))
	scene := Cabinet(opt)
	camera := DrawCamera(seed, rendering)
	camera.Exposure = min(camera.Exposure, 0.85)
	s := &shoot{}
	for i := range s.shots {
		view := quarterView
		view.TiltX, view.TiltY = 0.02*rng.NormFloat64(), 0.02*rng.NormFloat64()
		s.shots[i] = scene.Shoot(view, camera.again(rng))
		var err error
		s.photos[i], err = imageio.Decode(s.shots[i].JPEG, "cabinet.jpg")
		require.NoError(t, err)
	}
	return s
}

// solve fits the three photos by the given ties.
func (s *shoot) solve(t *testing.T, ties []string) {
	t.Helper()
	sights := make([]colour.PhotoSight, len(s.shots))
	for i := range sights {
		for _, name := range ties {
			patch, err := s.photos[i].ReadPatch(s.shots[i].Area(name).Outline)
			require.NoError(t, err)
			sights[i].Ties = append(sights[i].Ties, colour.TieSight{Name: name, Camera: patch.Mean})
		}
	}
	var err error
	s.joint, err = colour.FitJoint(sights)
	require.NoError(t, err)
}

func (s *shoot) read(t *testing.T, photo int, name string) colour.Reading {
	t.Helper()
	r, err := s.photos[photo].Sample(s.shots[photo].Area(name).Outline, s.joint.Correction(photo), imageio.SampleOptions{Name: name})
	require.NoError(t, err)
	return r
}

func (s *shoot) measured(t *testing.T, photo int, name string) blend.Measured {
	r := s.read(t, photo, name)
	return blend.Measured{Lab: r.Mean, PlusMinus: r.PlusMinus, Own: max(r.Sampling, 0.1), Photo: fmt.Sprint(photo)}
}

// evidence is the dried paint and one coat on each wood, the bare woods read in the first photo
// and the rest in the second.
func (s *shoot) evidence(t *testing.T) blend.Evidence {
	e := evidence(func(name string) blend.Measured {
		if name == FrameBare || name == PanelBare {
			return s.measured(t, 0, name)
		}
		return s.measured(t, 1, name)
	})
	e.Shared = func(a, b blend.Measured) [3][3]float64 {
		return s.joint.Covariance(int(a.Photo[0]-'0'), a.Lab, int(b.Photo[0]-'0'), b.Lab)
	}
	return e
}

// TestTiedCabinets counts coats where bare woods, test coats and target are in three photos
// without a chart, and holds what is stated of one wood in two photos against the truth.
func TestTiedCabinets(t *testing.T) {
	const cabinets, most = 10, 12
	rows := []struct {
		name              string
		ties              []string
		exact, near       float64
		held, off, radius float64
	}{
		{name: "nothing"},
		{name: "slip", ties: []string{Slip}},
		{name: "slip and pale wood", ties: []string{Slip, FrameBare}},
		{name: "slip, pale and dark wood", ties: []string{Slip, FrameBare, PanelBare}},
	}
	var ceiling, trials, pairs float64
	for seed := range uint64(cabinets) {
		s := newShoot(t, DrawCabinet(seed), Mild)
		wash := DrawCabinet(seed).Wash
		truth := func(name string) blend.Measured { return blend.Measured{Lab: s.shots[0].Area(name).Lab} }
		asks := [][2]string{{Frame, Target}, {Panel, SecondBoard}}
		best := make([]int, len(asks))
		var colours [][2]blend.Measured
		for i, ask := range asks {
			best[i], _ = s.shots[0].Area(ask[0]).BestCount(wash, s.shots[0].Area(ask[1]).Lab, most)
			colours = append(colours, [2]blend.Measured{truth(ask[0]), truth(ask[1])})
		}
		for i, c := range planned(t, wash.Name, evidence(truth), colours) {
			ceiling += within(c.Count, best[i], 0)
			trials++
		}
		compared := []string{Frame, Panel, FrameTested, PanelTested, Target}
		pairs += float64(len(compared))
		for i := range rows {
			row := &rows[i]
			s.solve(t, row.ties)
			for i, ask := range asks {
				colours[i] = [2]blend.Measured{s.measured(t, 0, ask[0]), s.measured(t, 2, ask[1])}
			}
			for i, c := range planned(t, wash.Name, s.evidence(t), colours) {
				row.exact += within(c.Count, best[i], 0)
				row.near += within(c.Count, best[i], 1)
			}
			for _, name := range compared {
				a, b := s.read(t, 0, name), s.read(t, 1, name)
				d, r := colour.DeltaE2000(a.Mean, b.Mean), s.joint.PlusMinusBetween(0, a.Mean, 1, b.Mean)
				row.held += within(0, int(math.Ceil(max(0, d-r))), 0)
				row.off, row.radius = row.off+d, row.radius+r
			}
		}
	}
	t.Logf("from true colours exact %.0f %% of %.0f", 100*ceiling/trials, trials)
	for _, row := range rows {
		t.Logf("tied by %-25s counts exact %3.0f %%, within one %3.0f %%; a wood in two photos %.1f ΔE00 apart, said ± %.1f, holds %3.0f %%",
			row.name, 100*row.exact/trials, 100*row.near/trials, row.off/pairs, row.radius/pairs, 100*row.held/pairs)
	}
	untied, tied := &rows[0], &rows[2]
	require.Less(t, tied.off, untied.off/2)
	require.Greater(t, tied.exact, untied.exact)
	require.GreaterOrEqual(t, tied.held/pairs, 0.85)
}
