package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// byHand is a bench on which coats are laid by hand, on test boards and on the piece, with the
// variability that the model has.
type byHand struct {
	*paintBench
	hand *rand.Rand
}

func (b *byHand) unevenly() float64 {
	return math.Exp(blend.PutOn(blend.Brushed).Variability() * b.hand.NormFloat64())
}

// board is the film that so many coats leave on a test board.
func (b *byHand) board(coats int) (film float64) {
	for range coats {
		film += b.unevenly()
	}
	return film
}

// piece lays coats on the piece one after another: the film after each.
func (b *byHand) piece(coats int) (films []float64) {
	board, film := math.Exp(boardToPiece*b.hand.NormFloat64()), 0.0
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

// A held adds up how often stated ranges held the truth.
type held struct{ regions, radius, counts, said, width, trials, mean float64 }

func (h *held) String() string {
	return fmt.Sprintf("90 %% region holds %3.0f %% (radius %4.1f), 80 %% range of the count %3.0f %%, said %3.0f %% (%.1f counts "+
		"wide); off by %.2f",
		100*h.regions/h.trials, h.radius/h.trials, 100*h.counts/h.trials, 100*h.said/h.trials, h.width/h.trials, h.mean/h.trials)
}

// judge lays so many coats in truth, and in every drawn sample, and sees whether the truth was
// among what the draws had room for. frame is how the home photo would have shown a colour.
func (h *held) judge(b *byHand, w *learn.Samples, truth *blend.Coating, wood *spectra.Spectrum, ground, target, coats int,
	goal colour.Lab, frame func(colour.Lab) colour.Lab) {
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
		factors := d.FilmFactors("area", 0, mostCounted)
		predicted := make([]colour.Lab, len(films))
		for n := range predicted {
			s := d.Coatings[0].Over(&d.Colours[ground], d.Coatings[0].Thickness(float64(n), blend.Sealed, factors))
			predicted[n] = s.Lab()
		}
		end := predicted[coats]
		ends = append(ends, end)
		mean.L += end.L / float64(len(w.Drawn))
		mean.A += end.A / float64(len(w.Drawn))
		mean.B += end.B / float64(len(w.Drawn))
		counts = append(counts, nearest(predicted, d.Colours[target].Lab()))
	}
	var off []float64
	for _, e := range ends {
		off = append(off, colour.DeltaE2000(mean, e))
	}
	radius := stat.Quantile(off, 0.9)
	missed := colour.DeltaE2000(mean, frame(path[coats]))
	best := nearest(path, goal)
	r := rangeOf(counts, nearest(evenly(&w.Best, ground), w.Best.Colours[target].Lab()))
	h.trials++
	h.radius += radius
	h.mean += missed
	h.width += float64(r[1] - r[0] + 1)
	if missed <= radius {
		h.regions++
	}
	if best >= r[0] && best <= r[1] {
		h.counts++
	}
	for _, n := range counts {
		if n >= r[0] && n <= r[1] {
			h.said += 1 / float64(len(counts))
		}
	}
}

type rangeRow struct {
	name       string
	chip       bool
	pale, dark []int // coats on test boards
	tiedRow          // where they were read
}

var (
	allInSlips = []string{"slip", "pale", "dark"}
	rangeRows  = []rangeRow{
		{name: "chip alone", chip: true},
		{name: "chip + 1 coat on a pale wood", chip: true, pale: []int{1}},
		{name: "1 coat on a pale wood", pale: []int{1}},
		{name: "1 coat on both", pale: []int{1}, dark: []int{1}},
		{name: "chip + 1 coat on both", chip: true, pale: []int{1}, dark: []int{1}},
		{name: "chip + coats 1 and 2 on both", chip: true, pale: []int{1, 2}, dark: []int{1, 2}},
		{name: "the same, one photo", chip: true, pale: []int{1, 2}, dark: []int{1, 2}, tiedRow: tiedRow{photos: 1, curved: true}},
		{name: "the same, two photos, untied", chip: true, pale: []int{1, 2}, dark: []int{1, 2}, tiedRow: tiedRow{photos: 2, curved: true}},
		{name: "the same, two photos, tied", chip: true, pale: []int{1, 2}, dark: []int{1, 2},
			tiedRow: tiedRow{photos: 2, curved: true, ties: allInSlips}},
		{name: "the same, three photos, untied", chip: true, pale: []int{1, 2}, dark: []int{1, 2}, tiedRow: tiedRow{photos: 3, curved: true}},
		{name: "the same, three photos, tied", chip: true, pale: []int{1, 2}, dark: []int{1, 2},
			tiedRow: tiedRow{photos: 3, curved: true, ties: allInSlips}},
		{name: "chip + 1 coat on both, three, tied", chip: true, pale: []int{1}, dark: []int{1},
			tiedRow: tiedRow{photos: 3, curved: true, ties: allInSlips}},
		{name: "chip alone, three, tied", chip: true, tiedRow: tiedRow{photos: 3, curved: true, ties: allInSlips}},
	}
)

// dataset lays the row's test coats of a wash by hand and reads all that a plan for the other woods
// needs: each wood, and what 2, 3 and 5 coats of the wash, evenly laid, would make of it.
func (b *byHand) dataset(t testing.TB, row *rangeRow, wash *blend.Coating) (s learn.Dataset, goals []colour.Lab,
	frame func(colour.Lab) colour.Lab) {
	p := b.photograph(t, row.tiedRow)
	known := learn.ShelfCoating{Name: wash.Name, Kind: wash.Kind}
	if row.chip {
		chip := p.read(wash.Limit(), testCoats)
		known.Evidence.Chip = &chip
	}
	lay := func(wood spectra.Spectrum, coats []int) {
		for _, n := range coats {
			known.Evidence.Tests = append(known.Evidence.Tests, learn.TestCoat{
				Ground: p.read(wood, bareWood), Result: p.read(wash.Over(&wood, b.board(n)), testCoats), Coats: float64(n)})
		}
	}
	lay(b.pale, row.pale)
	lay(b.dark, row.dark)
	s.Shelf = []learn.ShelfCoating{known}
	for _, wood := range b.others {
		s.Colours = append(s.Colours, p.read(wood, bareWood))
		for _, n := range asked {
			end := wash.Over(&wood, float64(n))
			goals = append(goals, end.Lab())
			s.Colours = append(s.Colours, p.read(end, targets))
		}
	}
	frame = func(c colour.Lab) colour.Lab { return c }
	if row.photos > 0 {
		s.Shared = p.shared
		at, err := strconv.Atoi(mostOften(known.Evidence))
		require.NoError(t, err)
		frame = func(c colour.Lab) colour.Lab { return p.joint.Correction(at).Lab(p.snaps[at].record(c)) }
	}
	return s, goals, frame
}

// mostOften is the photo that most of the evidence was read in; of several, the first by name.
func mostOften(e learn.Evidence) (photo string) {
	count := map[string]int{}
	if e.Chip != nil {
		count[e.Chip.Photo]++
	}
	for _, t := range e.Tests {
		count[t.Ground.Photo]++
		count[t.Result.Photo]++
	}
	for name, n := range count {
		if photo == "" || n > count[photo] || n == count[photo] && name < photo {
			photo = name
		}
	}
	return photo
}

// boardToPiece is the standard deviation of the logarithm of the film on the piece over that on the test
// board, as these tests lay it. Common practice has no figures.
const boardToPiece = 0.10

// asked are the counts that the targets are made of.
var asked = []int{2, 3, 5}

// TestRangesHold lays measured paints by hand and asks how often what is stated holds: every third of them
// in a short run. Run it with -v for the table.
func TestRangesHold(t *testing.T) {
	for _, row := range rangeRows {
		b := &byHand{newPaintBench(t), rand.New(rand.NewPCG(36, 1948))}
		var h held
		for i, wash := range b.washes {
			if i%figure.Draws(3, 1) != 0 {
				continue
			}
			s, goals, frame := b.dataset(t, &row, wash)
			w, err := s.Draw(t.Context(), learn.Options{})
			require.NoError(t, err)
			for i := range b.others {
				for k, n := range asked {
					at := i * (len(asked) + 1)
					h.judge(b, w, wash, &b.others[i], at, at+k+1, n, goals[len(asked)*i+k], frame)
				}
			}
		}
		t.Logf("%-34s %v", row.name, &h)
		figure.Report(t, "ranges/"+row.name, "region %.0f %%, count %.0f %%, which says %.0f %%",
			100*h.regions/h.trials, 100*h.counts/h.trials, 100*h.said/h.trials)
		require.InDelta(t, 0.9, h.regions/h.trials, 0.08+figure.Slack(0.9, h.trials), row.name)
		figure.AtLeast(t, 0.76, h.counts/h.trials, h.trials, row.name)
	}
}
