package workshop_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/workshop"
)

// mostLaid is the most coats that anybody lays on an area here.
const mostLaid = 8

// A finish is a cabinet that somebody finishes by hand, as photos and plans tell.
type finish struct {
	opt    bench.CabinetOptions
	camera bench.Camera
	wanted string // the board to come to; "" where the woods are to meet
	films  map[string][]float64
	before *bench.Shot
}

// newFinish draws a cabinet, and how thick each coat comes out that is laid on it: log-normal factors, 0.15 for each coat and 0.10
// for the piece over the test boards.
func newFinish(seed uint64, m bench.Making, wanted string) *finish {
	rng := rand.New(rand.NewPCG(seed, 0x570b))
	f := &finish{opt: m.DrawCabinet(seed), camera: bench.DrawCamera(seed, bench.Phone), wanted: wanted, films: map[string][]float64{}}
	coat := func() float64 { return math.Exp(0.15 * rng.NormFloat64()) }
	f.opt.TestFilms = [2]float64{coat(), coat()}
	board := math.Exp(0.10 * rng.NormFloat64())
	for _, area := range []string{bench.Frame, bench.Panel} {
		sum := 0.0
		f.films[area] = []float64{0}
		for range mostLaid {
			sum += board * coat()
			f.films[area] = append(f.films[area], sum)
		}
	}
	f.before = f.shoot(nil)
	return f
}

// shoot photographs the piece under so many coats on each area.
func (f *finish) shoot(coats map[string]int) *bench.Shot {
	opt := f.opt
	opt.Laid = map[string]float64{}
	for area, n := range coats {
		opt.Laid[area] = f.films[area][n]
	}
	return bench.Cabinet(opt).Shoot(bench.View{Width: 960, Height: 720, SamplesPerSide: 1}, f.camera)
}

// apart is how far, in truth, the worst two of the woods and what is wanted are apart under so many coats, and the mean of each wood's
// own worst.
func (f *finish) apart(coats map[string]int) (worst, mean float64) {
	end := func(area string) colour.Lab { return f.before.Area(area).After(f.opt.Wash, f.films[area][coats[area]]) }
	frame, panel := end(bench.Frame), end(bench.Panel)
	between := colour.DeltaE2000(frame, panel)
	if f.wanted == "" {
		return between, between
	}
	to := f.before.Area(f.wanted).Lab
	ofFrame, ofPanel := max(between, colour.DeltaE2000(frame, to)), max(between, colour.DeltaE2000(panel, to))
	return max(ofFrame, ofPanel), (ofFrame + ofPanel) / 2
}

// left is how far the worst two are apart.
func (f *finish) left(coats map[string]int) float64 {
	worst, _ := f.apart(coats)
	return worst
}

// value is what a plan minimises, in truth: nearness, and the price of the coats.
func (f *finish) value(coats map[string]int, price float64) float64 {
	own, of := f.apart(coats)
	frame, panel := coats[bench.Frame], coats[bench.Panel]
	return (own+of)/2 + price*float64(frame*(frame+1)+panel*(panel+1))/4
}

// best are the coats that somebody would lay who knew what each of them makes of the woods, at the plan's own price of coats.
func (f *finish) best(price float64) (coats map[string]int) {
	least := math.Inf(1)
	for frame := range mostLaid + 1 {
		for panel := range mostLaid + 1 {
			try := map[string]int{bench.Frame: frame, bench.Panel: panel}
			if value := f.value(try, price); value < least {
				coats, least = try, value
			}
		}
	}
	return coats
}

// plan plans the piece under so many coats, from its photos. extra goes before everything else.
func (f *finish) plan(t *testing.T, extra string, coats map[string]int) *workshop.PlanResult {
	t.Helper()
	files := inMemory{"before.jpg": string(f.before.JPEG)}
	photo := func(name string, shot *bench.Shot) string {
		corners := ""
		for _, c := range shot.Corners {
			corners += fmt.Sprintf("%.1f,%.1f ", c.X, c.Y)
		}
		return fmt.Sprintf("[[photo]]\nname = %q\nfile = \"%s.jpg\"\ncorners = %q\n", name, name, corners)
	}
	of := func(shot *bench.Shot, photo, area string) string {
		return fmt.Sprintf("{ photo = %q, outline = %q }", photo, shot.Area(area).Outline.String())
	}
	text := fmt.Sprintf("name = \"cabinet\"\nmax_coats = %d\n%s\n", mostLaid, extra)
	if f.wanted != "" {
		text += "target = " + of(f.before, "before", f.wanted) + "\n"
	}
	text += photo("before", f.before)
	now := f.before
	if coats != nil {
		now = f.shoot(coats)
		files["now.jpg"] = string(now.JPEG)
		text += photo("now", now)
	}
	surface := "sealed"
	if f.opt.Wash.Making.Bare() {
		surface = "bare"
	}
	for _, area := range []string{bench.Frame, bench.Panel} {
		text += fmt.Sprintf("[[area]]\nname = %q\nsurface = %q\nphoto = \"before\"\noutline = %q\n", area, surface,
			f.before.Area(area).Outline.String())
		if coats[area] > 0 {
			text += fmt.Sprintf("[[area.laid]]\ncoating = \"wash\"\ncoats = %d\nafter = %s\n", coats[area], of(now, "now", area))
		}
	}
	text += "[[coating]]\nname = \"wash\"\nkind = \"wash\"\nchip = " + of(f.before, "before", bench.Chip) + "\n"
	for _, test := range [][2]string{{bench.FrameBare, bench.FrameTested}, {bench.PanelBare, bench.PanelTested}} {
		text += fmt.Sprintf("[[coating.test]]\ncoats = 1\nground = { photo = \"before\", outline = %q, surface = %q }\nresult = %s\n",
			f.before.Area(test[0]).Outline.String(), surface, of(f.before, "before", test[1]))
	}
	files["cabinet.toml"] = text
	piece, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(t, err)
	result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *piece})
	require.NoError(t, err)
	return result
}

// planned are the coats that a plan lays on each area.
func planned(r *workshop.PlanResult) map[string]int {
	coats := map[string]int{}
	for i := range r.Areas {
		coats[r.Areas[i].Area.Name] = min(r.Areas[i].Planned(), mostLaid)
	}
	return coats
}

// withStop follows a plan up to one coat before its end, photographs, and follows the plan from there. It returns the coats that then lie
// on the piece, and that plan; nil where nothing is laid before the last coat.
func (f *finish) withStop(t *testing.T, extra string, first map[string]int) (map[string]int, *workshop.PlanResult) {
	coats, laid := map[string]int{}, 0
	for area, n := range first {
		coats[area] = max(n-1, 0)
		laid += coats[area]
	}
	if laid == 0 {
		return first, nil
	}
	result := f.plan(t, extra, coats)
	for area, n := range planned(result) {
		coats[area] = min(coats[area]+n, mostLaid)
	}
	return coats, result
}

// A foretold adds up how well plans foretell the largest difference that their coats leave.
type foretold struct{ off, width, n float64 }

func (f *foretold) add(r *workshop.PlanResult, left float64) {
	w := r.Choices[0].Worst
	f.off, f.width, f.n = f.off+math.Abs(w.Median-left), f.width+w.High-w.Low, f.n+1
}

func (f *foretold) String() string {
	return fmt.Sprintf("off by %.1f, range %.1f wide", f.off/f.n, f.width/f.n)
}

// alone plans each area by itself, as near as it comes to what is wanted or else to the darker wood.
func (f *finish) alone(t *testing.T) map[string]int {
	coats, extra := map[string]int{}, "price = 0.02"
	if f.wanted == "" {
		extra += "\ntarget = { area = \"panel\" }"
	}
	for _, a := range f.plan(t, extra, nil).Areas {
		if f.wanted != "" || a.Area.Name != bench.Panel {
			coats[a.Area.Name] = min(a.Single[0].Count, mostLaid)
		}
	}
	return coats
}

// TestPlanWithOneStopIsFollowed plans drawn cabinets from their photos, lays by hand, looks once, and sees how far the worst two colours
// then are from those of somebody who knew the films. Beside it, the same without the stop, and each area brought by itself as near as
// it comes.
func TestPlanWithOneStopIsFollowed(t *testing.T) {
	for _, c := range []struct {
		name, wanted string
		making       bench.Making
		price, bound float64 // 0 where what is asked is not reached
		long         bool
	}{
		{name: "two woods meet", price: 1, bound: 0.85},
		{name: "two woods come to a board", wanted: bench.Target, price: 1, long: true},
		{name: "two woods meet, coats with a surface, bare wood that wets", making: bench.Making{Surface: true, Wets: 0.4}, price: 1, bound: 0.85,
			long: true},
		{name: "two woods meet, whatever coats cost", price: 0.02, long: true},
	} {
		if c.long && !figure.Long() {
			continue
		}
		var stop, through, alone, stopValue, throughValue, most, mean, coats, coatsAlone float64
		var atFirst, afterStop foretold
		trials := float64(figure.Draws(3, 20))
		for seed := range uint64(trials) {
			f := newFinish(seed, c.making, c.wanted)
			asked := fmt.Sprintf("price = %v", c.price)
			result := f.plan(t, asked, nil)
			best, first := f.best(c.price), planned(result)
			end, then := f.withStop(t, asked, first)
			single := f.alone(t)
			atFirst.add(result, f.left(first))
			if then != nil {
				afterStop.add(then, f.left(end))
			}
			t.Logf("%s, seed %d: at first %.1f, at best %v %.1f; planned %v %.1f; with a stop %v %.1f; each by itself %v %.1f", c.name,
				seed, f.left(nil), best, f.left(best), first, f.left(first), end, f.left(end), single, f.left(single))
			for _, s := range []struct {
				to    *float64
				coats map[string]int
			}{{&stop, end}, {&through, first}, {&alone, single}} {
				if f.left(s.coats) <= f.left(best)+1 {
					*s.to++
				}
			}
			for _, s := range []struct {
				to    *float64
				coats map[string]int
			}{{&stopValue, end}, {&throughValue, first}} {
				if f.value(s.coats, c.price) <= f.value(best, c.price)+1 {
					*s.to++
				}
			}
			require.Less(t, f.left(end), f.left(nil), "%s, seed %d", c.name, seed)
			off := f.left(end) - f.left(best)
			most, mean = max(most, off), mean+off/trials
			coats += float64(end[bench.Frame]+end[bench.Panel]) / trials
			coatsAlone += float64(single[bench.Frame]+single[bench.Panel]) / trials
		}
		t.Logf("%s: within 1 of the best with a stop %.0f %%, %.1f coats, without %.0f %%, each by itself %.0f %%, %.1f coats, of %.0f; "+
			"%.1f off on average, %.1f at most", c.name, 100*stop/trials, coats, 100*through/trials, 100*alone/trials,
			coatsAlone, trials, mean, most)
		t.Logf("%s: price and all, within 1 of the best with a stop %.0f %%, without %.0f %%; what is left is foretold at first %v, after the "+
			"stop %v", c.name, 100*stopValue/trials, 100*throughValue/trials, &atFirst, &afterStop)
		if c.bound > 0 {
			figure.AtLeast(t, c.bound-1e-9, stop/trials, trials, c.name)
		}
		figure.AtLeast(t, 0.85, stopValue/trials, trials, c.name, ", price and all")
		require.GreaterOrEqual(t, stopValue, throughValue, c.name)
		figure.Report(t, "one stop/"+c.name, "%.0f %%, %.1f coats; %.0f %%; %.0f %%, %.1f coats, of %.0f", 100*stop/trials, coats,
			100*through/trials,
			100*alone/trials, coatsAlone, trials)
		figure.Report(t, "one stop/"+c.name+"/price and all", "%.0f %%; %.0f %%", 100*stopValue/trials, 100*throughValue/trials)
		figure.Report(t, "one stop/"+c.name+"/foretold", "%v; %v", &atFirst, &afterStop)
	}
}
