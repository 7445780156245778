package blend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"huewright/colour"
)

// byHand is a bench on which coats are laid by a hand, on test boards and on the piece, as
// uneven as the model says hands are.
type byHand struct {
	*paintBench
	hand *rand.Rand
}

func (b *byHand) unevenly() float64 {
	return math.Exp(PutOn(Brushed).unevenness() * b.hand.NormFloat64())
}

// board lays coats on a test board and reads them.
func (b *byHand) board(c *Coating, wood colour.Spectrum, coats int) TestCoat {
	film := 0.0
	for range coats {
		film += b.unevenly()
	}
	return TestCoat{Ground: b.read(wood), Result: b.read(c.Over(&wood, film)), Coats: float64(coats)}
}

// piece lays coats on the piece one after another: the film after each.
func (b *byHand) piece(coats int) (films []float64) {
	board, film := math.Exp(unevenBoard*b.hand.NormFloat64()), 0.0
	films = append(films, 0)
	for range coats {
		film += board * b.unevenly()
		films = append(films, film)
	}
	return films
}

const mostCounted = 12

// nearest is the count whose colour is nearest to a target.
func nearest(path []colour.Lab, target colour.Lab) (count int) {
	for n := range path {
		if colour.DeltaE2000(target, path[n]) < colour.DeltaE2000(target, path[count]) {
			count = n
		}
	}
	return count
}

// shortestRange is the shortest range of counts that so many of a share of all draws lie in.
func shortestRange(counts []int, share float64) (low, high int) {
	slices.Sort(counts)
	need := int(math.Ceil(share * float64(len(counts))))
	low, high = counts[0], counts[len(counts)-1]
	for i := 0; i+need <= len(counts); i++ {
		if counts[i+need-1]-counts[i] < high-low {
			low, high = counts[i], counts[i+need-1]
		}
	}
	return low, high
}

// A held adds up how often stated ranges held the truth.
type held struct{ regions, radius, counts, width, trials, mean float64 }

func (h *held) String() string {
	return fmt.Sprintf("90 %% region holds %3.0f %% (radius %4.1f), 80 %% range of the count %3.0f %% (%.1f counts wide); off by %.2f",
		100*h.regions/h.trials, h.radius/h.trials, 100*h.counts/h.trials, h.width/h.trials, h.mean/h.trials)
}

// judge lays so many coats in truth, and in every drawn world, and sees whether the truth was
// among what the draws had room for.
func (h *held) judge(b *byHand, w *Worlds, truth *Coating, wood *colour.Spectrum, ground, target, coats int, goal colour.Lab) {
	films := b.piece(mostCounted)
	path := make([]colour.Lab, len(films))
	for n, film := range films {
		s := truth.Over(wood, film)
		path[n] = s.Lab()
	}
	var mean colour.Lab
	var ends []colour.Lab
	var counts []int
	for i := range w.Drawn {
		d := &w.Drawn[i]
		hand := d.Hand("area", 0, mostCounted)
		foreseen := make([]colour.Lab, len(films))
		for n := range foreseen {
			s := d.Coatings[0].Over(&d.Colours[ground], d.Coatings[0].Thickness(float64(n), Sealed, hand))
			foreseen[n] = s.Lab()
		}
		end := foreseen[coats]
		ends = append(ends, end)
		mean.L += end.L / float64(len(w.Drawn))
		mean.A += end.A / float64(len(w.Drawn))
		mean.B += end.B / float64(len(w.Drawn))
		counts = append(counts, nearest(foreseen, d.Colours[target].Lab()))
	}
	var off []float64
	for _, e := range ends {
		off = append(off, colour.DeltaE2000(mean, e))
	}
	slices.Sort(off)
	radius := stat.Quantile(0.9, stat.Empirical, off, nil)
	missed := colour.DeltaE2000(mean, path[coats])
	low, high := shortestRange(counts, 0.8)
	h.trials++
	h.radius += radius
	h.mean += missed
	h.width += float64(high - low + 1)
	if missed <= radius {
		h.regions++
	}
	if n := nearest(path, goal); n >= low && n <= high {
		h.counts++
	}
}

var rangeRows = []struct {
	name       string
	chip       bool
	pale, dark []int
}{
	{name: "chip alone", chip: true},
	{name: "chip + 1 coat on a pale wood", chip: true, pale: []int{1}},
	{name: "1 coat on a pale wood", pale: []int{1}},
	{name: "1 coat on both", pale: []int{1}, dark: []int{1}},
	{name: "chip + 1 coat on both", chip: true, pale: []int{1}, dark: []int{1}},
	{name: "chip + coats 1 and 2 on both", chip: true, pale: []int{1, 2}, dark: []int{1, 2}},
}

// TestRangesHold lays measured paints by hand and asks how often what is stated holds. Run it
// with -v for the table.
func TestRangesHold(t *testing.T) {
	for _, row := range rangeRows {
		b := &byHand{newPaintBench(t), rand.New(rand.NewPCG(36, 1948))}
		var h held
		for _, wash := range b.washes {
			known := Known{Name: wash.Name, Kind: wash.Kind}
			if row.chip {
				chip := b.read(wash.Limit())
				known.Evidence.Chip = &chip
			}
			for _, n := range row.pale {
				known.Evidence.Tests = append(known.Evidence.Tests, b.board(wash, b.pale, n))
			}
			for _, n := range row.dark {
				known.Evidence.Tests = append(known.Evidence.Tests, b.board(wash, b.dark, n))
			}
			s := Survey{Shelf: []Known{known}}
			var goals []colour.Lab
			for i := range b.others {
				s.Colours = append(s.Colours, b.read(b.others[i]))
				for _, n := range []float64{2, 3, 5} {
					end := wash.Over(&b.others[i], n)
					goals = append(goals, end.Lab())
					s.Colours = append(s.Colours, b.read(end))
				}
			}
			w, err := s.Worlds(WorldOptions{})
			require.NoError(t, err)
			for i := range b.others {
				for k, n := range []int{2, 3, 5} {
					h.judge(b, w, wash, &b.others[i], 4*i, 4*i+k+1, n, goals[3*i+k])
				}
			}
		}
		t.Logf("%-30s %v", row.name, &h)
		require.Greater(t, h.regions/h.trials, 0.8, row.name)
		require.Greater(t, h.counts/h.trials, 0.65, row.name)
	}
}
