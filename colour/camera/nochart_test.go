package camera

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/figure"
)

// TestLearnedFromCameras repeats what learned.go holds.
func TestLearnedFromCameras(t *testing.T) {
	k := learnFrom(t, cameraPhotos(t))
	t.Logf("from %d repositories: %.3f, %.4f; %.3f", k.groups, k.tones.mean, k.tones.cov, k.misfit)
	for i, mean := range k.tones.mean {
		require.InDelta(t, mean, learnedTones.mean[i], 0.006)
		for m := range k.tones.cov {
			require.InDelta(t, k.tones.cov[i][m], learnedTones.cov[i][m], 0.0006)
		}
	}
	require.InEpsilon(t, k.misfit.saturation, learnedMisfit.saturation, 0.05)
	require.InEpsilon(t, k.misfit.size, learnedMisfit.size, 0.05)
	require.InEpsilon(t, k.misfit.length, learnedMisfit.length, 0.05)
}

// A held counts how often a stated radius held an error.
type held struct{ n, off, radius, held float64 }

func (h *held) add(off, radius float64) {
	h.n, h.off, h.radius = h.n+1, h.off+off, h.radius+radius
	if off <= radius {
		h.held++
	}
}

func (h *held) mean() float64  { return h.off / h.n }
func (h *held) share() float64 { return h.held / h.n }
func (h *held) String() string {
	return fmt.Sprintf("%.2f ± %.1f, %.1f %% of %.0f", h.mean(), h.radius/h.n, 100*h.share(), h.n)
}

// A cardScore is how near the patches are that took no part in a fit, and how often what is stated of them holds.
type cardScore struct {
	near, coloured, vivid held // near wood, of them those that are no greys, all others
	between, toVivid      held // differences of two near wood, and where one or both are not
}

func (s *cardScore) add(p *chartPhoto, k *known) {
	c, patches := k.without(p)
	if c == nil {
		return
	}
	for i, a := range patches {
		off, radius := colour.DeltaE2000(a.want, a.got), c.PlusMinus(a.got)
		near := NearWood(a.want)
		if near {
			s.near.add(off, radius)
		} else {
			s.vivid.add(off, radius)
		}
		if near && !a.grey {
			s.coloured.add(off, radius)
		}
		for _, b := range patches[:i] {
			wrong := colour.Lab{L: a.got.L + a.off.L - b.off.L, A: a.got.A + a.off.A - b.off.A, B: a.got.B + a.off.B - b.off.B}
			off, radius := colour.DeltaE2000(a.got, wrong), c.PlusMinusBetween(a.got, b.got)
			if near && NearWood(b.want) {
				s.between.add(off, radius)
			} else {
				s.toVivid.add(off, radius)
			}
		}
	}
}

// plain is how it was before anything was learned: no mean bend, and no misfit.
var plain = learned{tones: plainTones(0.3, 0.1), misfit: cameraMisfit{length: 1}}

// sets are the photos that are told apart, by what holds of a photo.
var sets = []struct {
	name string
	has  func(*chartPhoto) bool
}{
	{"all", func(*chartPhoto) bool { return true }},
	{"phones and cameras", func(p *chartPhoto) bool { return p.kind == "P" }},
	{"light near neutral", func(p *chartPhoto) bool { return p.cast() <= 0.1 }},
	{"light far from neutral", func(p *chartPhoto) bool { return p.cast() > 0.1 }},
}

// cast is how far the photo shows the mid grey from grey: the standard deviation of its channels' logarithms.
func (p *chartPhoto) cast() float64 {
	c := p.patches[21].Camera
	sum, squares := 0.0, 0.0
	for _, v := range [3]float64{c.R, c.G, c.B} {
		log := math.Log(max(v, leastLight))
		sum, squares = sum+log, squares+log*log
	}
	return math.Sqrt((squares - sum*sum/3) / 2)
}

// scores are those of a set of photos by what is known in them, under "set/known".
type scores map[string]*cardScore

func (s scores) add(photos []chartPhoto) {
	for i := range photos {
		for _, set := range sets {
			for k := range knowns {
				key := set.name + "/" + knowns[k].name
				if s[key] == nil {
					s[key] = &cardScore{}
				}
				if set.has(&photos[i]) {
					s[key].add(&photos[i], &knowns[k])
				}
			}
		}
	}
}

// TestNoChart measures what a card or two leave wrong in photos by many cameras, and whether the stated 95 % radius holds, with and without
// what is learned from the other repositories.
func TestNoChart(t *testing.T) {
	photos := cameraPhotos(t)
	var repositories []string
	for _, p := range photos {
		if !slices.Contains(repositories, p.repository) {
			repositories = append(repositories, p.repository)
		}
	}
	before, after := scores{}, scores{}
	for _, repository := range repositories {
		var others, tested []chartPhoto
		for _, p := range photos {
			if p.repository == repository {
				tested = append(tested, p)
			} else {
				others = append(others, p)
			}
		}
		k := learnFrom(t, others)
		t.Logf("without %-25s bends %.2f, misfit %.2f", repository, k.tones.mean, k.misfit)
		t.Run(repository+" before", func(t *testing.T) { plain.use(t); before.add(tested) })
		t.Run(repository, func(t *testing.T) { k.use(t); after.add(tested) })
	}
	for _, set := range sets {
		for _, cards := range knowns {
			key := set.name + "/" + cards.name
			b, a := before[key], after[key]
			figure.Report(t, "no chart, "+key+", near wood", "%v → %v", &b.near, &a.near)
			figure.Report(t, "no chart, "+key+", two near wood", "%v → %v", &b.between, &a.between)
			figure.Report(t, "no chart, "+key+", far from neutral", "%v → %v", &b.vivid, &a.vivid)
			t.Logf("%s: in colour near wood %v → %v; one far from neutral and another %v → %v", key, &b.coloured, &a.coloured, &b.toVivid,
				&a.toVivid)
		}
	}
	for _, cards := range knowns {
		t.Run(cards.name, func(t *testing.T) {
			all, phones, phonesBefore := after["all/"+cards.name], after["phones and cameras/"+cards.name], before["phones and cameras/"+cards.name]
			for _, share := range []float64{all.near.share(), all.between.share(), phones.between.share()} {
				require.GreaterOrEqual(t, share, 0.90)
				require.LessOrEqual(t, share, 0.98)
			}
			require.GreaterOrEqual(t, phones.near.share(), 0.90)
			require.LessOrEqual(t, phones.vivid.mean(), phonesBefore.vivid.mean())
			require.LessOrEqual(t, phones.near.mean(), map[bool]float64{false: 4.6, true: 4.0}[cards.patches[0] == 21])
		})
	}
}
