package bench

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/sample"
	"huewright/internal/figure"
	"huewright/internal/rival"
)

// makings are ways in which a bench makes colour, from the model's own to what is furthest from it.
var makings = []struct {
	name   string
	making Making
}{
	{name: "the model's own"},
	{name: "coats with a surface", making: Making{Surface: true}},
	{name: "bare wood that wets", making: Making{Wets: 0.4}},
	{name: "bare wood that takes up a quarter more", making: Making{TakesUp: 0.25}},
	{name: "all three", making: Making{Surface: true, Wets: 0.4, TakesUp: 0.25}},
}

// A tally is how often a way of counting was right, and within one of it.
type tally struct{ exact, near float64 }

func (y *tally) add(got, want int) {
	y.exact += within(got, want, 0)
	y.near += within(got, want, 1)
}

func (y *tally) of(n float64) string {
	return fmt.Sprintf("%.0f / %.0f %%", 100*y.exact/n, 100*y.near/n)
}

// makingTallies are those of one making, and how often ranges of counts hold, with the test coats and from the chip alone.
type makingTallies struct {
	ours, bands, shift, naive tally
	held, heldByChip          float64
}

// count counts the coats of a cabinet from one photo with a chart. Test coats and piece are laid by a hand or by a bar.
func (s *makingTallies) count(t *testing.T, seed uint64, m Making, hand bool) {
	const most = 12
	rng := rand.New(rand.NewPCG(seed, 0x3a4e))
	opt, camera := m.DrawCabinet(seed), DrawCamera(seed, Phone)
	if hand {
		opt.TestFilms = [2]float64{math.Exp(unevenCoat * rng.NormFloat64()), math.Exp(unevenCoat * rng.NormFloat64())}
	}
	shot := Cabinet(opt).Shoot(View{Width: 960, Height: 720, SamplesPerSide: 1}, camera)
	photo, err := imageio.Decode(t.Context(), shot.JPEG, "cabinet.jpg")
	require.NoError(t, err)
	correction, _, _, err := chart.Fit(t.Context(), photo, shot.Corners, chart.Options{})
	require.NoError(t, err)
	measured := func(name string) learn.Measured {
		r, err := sample.Read(t.Context(), photo, shot.Area(name).Outline, correction, sample.Options{Name: name})
		require.NoError(t, err)
		return learn.Measured{Lab: r.Mean, PlusMinus: r.PlusMinus, Photo: "cabinet.jpg"}
	}
	e := evidence(measured)
	surface := blend.Sealed
	if m.Bare() {
		surface = blend.Bare
	}
	for i := range e.Tests {
		e.Tests[i].Even, e.Tests[i].Surface = !hand, surface
	}
	asks := [][2]string{{Frame, Target}, {Panel, SecondBoard}}
	var colours [][2]learn.Measured
	for _, ask := range asks {
		colours = append(colours, [2]learn.Measured{measured(ask[0]), measured(ask[1])})
	}
	counts := plannedOn(t, surface, opt.Wash.Name, e, nil, colours)
	byChip := plannedOn(t, surface, opt.Wash.Name, learn.Evidence{Chip: e.Chip}, nil, colours)
	bands, shift := rival.LearnThreeBands(e), rival.LearnShift(e)
	for i, ask := range asks {
		area, target := shot.Area(ask[0]), shot.Area(ask[1]).Lab
		laid := byHand(area, opt.Wash, target, most, rng)
		want := laid
		if !hand {
			want, _ = area.BestCount(opt.Wash, target, most)
		}
		ground, to := colours[i][0].Lab, colours[i][1].Lab
		first := colour.Lab{}
		now, then := area.Lab, area.After(opt.Wash, 1) // as the same photo would show the first coat
		first.L, first.A, first.B = ground.L+then.L-now.L, ground.A+then.A-now.A, ground.B+then.B-now.B
		s.ours.add(counts[i].Count, want)
		s.bands.add(rival.Count(bands, ground, to), want)
		s.shift.add(rival.Count(shift, ground, to), want)
		s.naive.add(rival.Naive(ground, first, to), want)
		if laid >= counts[i].Range[0] && laid <= counts[i].Range[1] {
			s.held++
		}
		if laid >= byChip[i].Range[0] && laid <= byChip[i].Range[1] {
			s.heldByChip++
		}
	}
}

// TestCabinetsOfAnotherMaking counts coats on drawn cabinets, from photos by phones with a chart, where coats make colour otherwise than
// the model has it and are laid by a bar or by hand; beside it, the same in simpler ways. Woods are drawn by what absorbs in them.
func TestCabinetsOfAnotherMaking(t *testing.T) {
	cabinets := figure.Draws(2, 20)
	trials := float64(2 * cabinets)
	var all makingTallies
	asked := 0.0
	for i, m := range makings {
		for _, hand := range []bool{false, true} {
			if !figure.Long() && (hand != (i%2 == 1)) {
				continue
			}
			var s makingTallies
			for seed := range uint64(cabinets) {
				s.count(t, seed, m.making, hand)
			}
			name := m.name
			if hand {
				name += ", by hand"
			}
			t.Logf("%-48s %s; three bands %s; adding ΔLab %s; one coat, look, extrapolate %s; ranges hold %.0f %%, by chip alone %.0f %%, of %.0f",
				name, s.ours.of(trials), s.bands.of(trials), s.shift.of(trials), s.naive.of(trials), 100*s.held/trials, 100*s.heldByChip/trials, trials)
			figure.Report(t, "cabinets/"+name, "%s; %.0f %%, %.0f %%", s.ours.of(trials), 100*s.held/trials, 100*s.heldByChip/trials)
			figure.Report(t, "cabinets/"+name+"/simpler", "%s; %s; %s", s.bands.of(trials), s.shift.of(trials), s.naive.of(trials))
			all.ours.exact, all.shift.exact, all.naive.exact = all.ours.exact+s.ours.exact, all.shift.exact+s.shift.exact,
				all.naive.exact+s.naive.exact
			all.held += s.held
			asked += trials
		}
	}
	figure.AtLeast(t, 0.76, all.held/asked, asked/2)
	require.Greater(t, all.ours.exact, all.shift.exact)
	require.Greater(t, all.ours.exact, all.naive.exact)
}
