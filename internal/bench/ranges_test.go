package bench

import (
	"math"
	"math/rand/v2"
	"testing"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/figure"
)

// The hand that lays test coats and piece, as uneven as blend takes hands to be: standard
// deviations of the logarithm of each coat's film, and of the piece's over the test board's.
const (
	unevenCoat  = 0.15
	unevenBoard = 0.10
)

// byHand is the count, 0–most, after which an area is truly nearest to a target when its coats are
// laid by a hand.
func byHand(a *Area, w *Wash, target colour.Lab, most int, rng *rand.Rand) (count int) {
	board, film, left := math.Exp(unevenBoard*rng.NormFloat64()), 0.0, math.Inf(1)
	for n := range most + 1 {
		if d := colour.DeltaE2000(target, a.After(w, film)); d < left {
			count, left = n, d
		}
		film += board * math.Exp(unevenCoat*rng.NormFloat64())
	}
	return count
}

// TestCabinetRangesHold asks how often the 80 % range of the count holds the count that is truly
// best, where test coats and piece are laid by hand and all is read from rendered photos without a
// chart.
func TestCabinetRangesHold(t *testing.T) {
	const most = 12
	cabinets := figure.Draws(3, 10)
	rows := []struct {
		name         string
		tests        int // coats, on frame and then on panel
		ties         []string
		onePhoto     bool
		held, widths float64
	}{
		{name: "chip alone, one photo", onePhoto: true},
		{name: "chip and a coat on the frame, one photo", tests: 1, onePhoto: true},
		{name: "chip and a coat on both, one photo", tests: 2, onePhoto: true},
		{name: "the same, three photos tied by slip, pale and dark wood", tests: 2, ties: []string{Slip, FrameBare, PanelBare}},
		{name: "the same, tied by slip and pale wood", tests: 2, ties: []string{Slip, FrameBare}},
		{name: "the same, untied", tests: 2},
	}
	var all float64
	for seed := range uint64(cabinets) {
		rng := rand.New(rand.NewPCG(seed, 0x4a4d))
		opt := DrawCabinet(seed)
		opt.TestFilms = [2]float64{math.Exp(unevenCoat * rng.NormFloat64()), math.Exp(unevenCoat * rng.NormFloat64())}
		s := newShoot(t, opt, Mild)
		asks := [][2]string{{Frame, Target}, {Panel, SecondBoard}}
		var best []int
		for _, ask := range asks {
			best = append(best, byHand(s.shots[0].Area(ask[0]), opt.Wash, s.shots[0].Area(ask[1]).Lab, most, rng))
		}
		for i := range rows {
			row := &rows[i]
			s.solve(t, row.ties)
			photo := func(usual int) int {
				if row.onePhoto {
					return 1
				}
				return usual
			}
			var e learn.Evidence
			if row.onePhoto {
				e = evidence(func(name string) learn.Measured { return s.measured(t, 1, name) })
			} else {
				e = s.evidence(t)
			}
			e.Tests = e.Tests[:row.tests]
			for k := range e.Tests {
				e.Tests[k].Even = false
			}
			var colours [][2]learn.Measured
			for _, ask := range asks {
				colours = append(colours, [2]learn.Measured{s.measured(t, photo(0), ask[0]), s.measured(t, photo(2), ask[1])})
			}
			for k, c := range planned(t, opt.Wash.Name, e, s.shared, colours) {
				if best[k] >= c.Range[0] && best[k] <= c.Range[1] {
					row.held++
					all++
				}
				row.widths += float64(c.Range[1] - c.Range[0] + 1)
			}
		}
	}
	trials := float64(2 * cabinets)
	for _, row := range rows {
		t.Logf("%-56s 80 %% range of the count holds %3.0f %% of %.0f, %.1f counts wide",
			row.name, 100*row.held/trials, trials, row.widths/trials)
		figure.Report(t, "cabinet ranges/"+row.name, "%.0f %%", 100*row.held/trials)
	}
	asked := trials * float64(len(rows))
	figure.AtLeast(t, 0.76, all/asked, asked)
}
