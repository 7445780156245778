package camera

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/internal/fixture"
)

// A chartPhoto is the chart as one photo shows it.
type chartPhoto struct {
	kind       string // P by a phone or a camera, W by a cheap webcam, F by a flatbed scanner
	repository string
	patches    [24]Sample
}

// cameraPhotos reads the chart's patches in photos of many cameras. Patches that are not to be used have Skip.
func cameraPhotos(t *testing.T) (photos []chartPhoto) {
	t.Helper()
	f, err := os.Open(fixture.NeedShared(t, "charts/cameras/patches.csv")[0])
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	for n, row := range rows[1:] {
		if n%24 == 0 {
			// What two repositories of one name and an ending hold is by one hand.
			photos = append(photos, chartPhoto{kind: row[0], repository: strings.TrimSuffix(row[1], "_UI")})
		}
		var v [7]float64 // recorded red, green, blue; wanted L*, a*, b*
		for k := range 6 {
			v[k], err = strconv.ParseFloat(row[8+k], 64)
			require.NoError(t, err)
		}
		s := Sample{Name: row[7], Camera: colour.LinearRGB{R: v[0], G: v[1], B: v[2]}, Want: colour.Lab{L: v[3], A: v[4], B: v[5]}}
		s.At.X, err = strconv.ParseFloat(row[14], 64)
		require.NoError(t, err)
		s.At.Y, err = strconv.ParseFloat(row[15], 64)
		require.NoError(t, err)
		if row[16] != "" {
			s.Skip.Code = "skipped"
		}
		photos[len(photos)-1].patches[n%24] = s
	}
	return photos
}

// learned is what is learned from photos.
type learned struct {
	tones  tonePrior
	misfit cameraMisfit
	groups int
}

// use makes fits without a chart as if nothing else were known of cameras, until the test ends.
func (k *learned) use(t *testing.T) {
	tones, misfit, nothing := cardPrior.tones, learnedMisfit, nothingPrior.tones
	t.Cleanup(func() { cardPrior.tones, learnedMisfit, nothingPrior.tones = tones, misfit, nothing })
	cardPrior.tones, learnedMisfit, nothingPrior.tones = k.tones, k.misfit, k.tones
}

// weights are those of photos. Photos of one repository are alike: n of them count as n/(1 + (n−1)/2), which is what they are worth where
// two of them are correlated by a half; the three bends of these are, by 0.2, 0.65 and 0.6. Scans count for nothing. squares is the sum of
// squares of the repositories' shares.
func weights(photos []chartPhoto) (w []float64, groups int, squares float64) {
	n := map[string]float64{}
	for _, p := range photos {
		if p.kind != "F" {
			n[p.repository]++
		}
	}
	sum := 0.0
	w = make([]float64, len(photos))
	for i, p := range photos {
		if p.kind != "F" {
			w[i] = 1 / (1 + (n[p.repository]-1)/2)
			sum += w[i]
		}
	}
	for i := range w {
		w[i] /= sum
	}
	for _, n := range n {
		share := n / (1 + (n-1)/2) / sum
		squares += share * share
	}
	return w, len(n), squares
}

// learnFrom learns from photos: the tone bends by expectation and maximisation, then the misfit by the likelihood of what cards leave
// wrong.
func learnFrom(t *testing.T, photos []chartPhoto) *learned {
	w, groups, squares := weights(photos)
	k := &learned{tones: plainTones(0.3, 0.3), groups: groups}
	for range 8 {
		k.tones = betterTones(photos, w, k.tones)
	}
	wider := float64(groups-1) / float64(groups-3) // the variance of Student's t, beside that of a normal distribution
	for i := range k.tones.cov {
		for m := range k.tones.cov {
			// The mean is learned from the same photos: they lie nearer to it than to that of all cameras, and another camera does not.
			k.tones.cov[i][m] *= wider * (1 + squares) / (1 - squares)
		}
	}
	t.Run("misfit", func(t *testing.T) {
		k.use(t)
		k.learnMisfit(photos, w)
	})
	k.misfit.saturation *= math.Sqrt(wider)
	k.misfit.size *= math.Sqrt(wider)
	k.misfit.rough *= math.Sqrt(wider)
	return k
}

// betterTones is one round: the posterior bends of each chart under a prior, and the mean and covariance of them all.
func betterTones(photos []chartPhoto, w []float64, prior tonePrior) (next tonePrior) {
	prior0 := cardPrior
	prior0.tones = prior
	bends, spread := make([][]float64, len(photos)), make([]*mat.SymDense, len(photos))
	for i := range photos {
		if w[i] == 0 {
			continue
		}
		fit := solveUnder(&prior0, notSkipped(photos[i].patches[:]), &identity)
		bends[i], spread[i] = fit.X[atBend:atField], inverseOf(fit.Curvature)
		for k, v := range bends[i] {
			next.mean[k] += w[i] * v
		}
	}
	for i := range photos {
		if w[i] == 0 {
			continue
		}
		for k := range nBend {
			for m := range nBend {
				next.cov[k][m] += w[i] * (spread[i].At(atBend+k, atBend+m) + (bends[i][k]-next.mean[k])*(bends[i][m]-next.mean[m]))
			}
		}
	}
	return next
}

// A known is what a photo without a chart shows.
type known struct {
	name    string
	patches []int
	paper   bool // its colour is taken to be L* 94
}

var knowns = []known{
	{name: "one grey", patches: []int{21}},
	{name: "one white", patches: []int{18}},
	{name: "three neutrals", patches: []int{18, 21, 23}},
	{name: "a slip of paper", patches: []int{18}, paper: true},
}

// A left is a patch that took no part in a fit.
type left struct {
	got, want, off colour.Lab // off: want − got
	grey           bool
}

// without corrects a photo by a few of its patches, and says what that makes of the others; nil where one of the few may not be used.
func (k *known) without(p *chartPhoto) (*Correction, []left) {
	var cards []Sample
	for _, i := range k.patches {
		card := p.patches[i]
		if !card.Skip.Empty() {
			return nil, nil
		}
		card.At = Position{}
		if k.paper {
			card.Want = colour.Lab{L: 94}
		}
		cards = append(cards, card)
	}
	c := fitSamples(sensor.Rendered, cards, &identity)
	var all []left
	for i, s := range p.patches {
		if !s.Skip.Empty() || slices.Contains(k.patches, i) {
			continue
		}
		got := c.Lab(s.Camera)
		off := colour.Lab{L: s.Want.L - got.L, A: s.Want.A - got.A, B: s.Want.B - got.B}
		all = append(all, left{got, s.Want, off, i >= 18})
	}
	return c, all
}

// woodChroma is the chroma up to which patches count in learning the misfit: woods, stains and dyes are not stronger.
const woodChroma = 45

// learnMisfit finds the misfit under which the errors that cards leave are likeliest, by Student's t in as many degrees of freedom as there
// are repositories beyond the first, so that no one camera decides.
func (k *learned) learnMisfit(photos []chartPhoto, w []float64) {
	var all []leftTogether
	for i := range photos {
		for _, cards := range knowns[:3] {
			if w[i] == 0 {
				continue
			}
			c, patches := cards.without(&photos[i])
			if c == nil {
				continue
			}
			patches = slices.DeleteFunc(patches, func(l left) bool { return math.Hypot(l.got.A, l.got.B) > woodChroma })
			all = append(all, together(c, patches, w[i]))
		}
	}
	at := [4]float64{0.2, 2, 20, 1}
	misfit := func(at [4]float64) cameraMisfit {
		return cameraMisfit{saturation: at[0], size: at[1], length: at[2], rough: at[3]}
	}
	cost := func(at [4]float64) (sum float64) {
		m := misfit(at)
		for i := range all {
			sum += all[i].unlikely(&m, float64(k.groups-1))
		}
		return sum
	}
	best := cost(at)
	for step := 1.5; step > 1.02; step = math.Sqrt(step) {
		for moved := true; moved; {
			moved = false
			for i := range at {
				for _, factor := range []float64{step, 1 / step} {
					next := at
					next[i] *= factor
					if v := cost(next); v < best-1e-5 {
						best, at, moved = v, next, true
					}
				}
			}
		}
	}
	k.misfit = misfit(at)
}

// leftTogether are the errors of one photo's patches and what is expected of them but for the misfit.
type leftTogether struct {
	weight     float64
	off        *mat.VecDense
	posterior  *mat.SymDense
	saturation [][3]float64
	at         []colour.Lab
}

func together(c *Correction, patches []left, weight float64) leftTogether {
	n := len(patches)
	l := leftTogether{weight: weight / float64(n), off: mat.NewVecDense(3*n, nil), posterior: mat.NewSymDense(3*n, nil)}
	j := mat.NewDense(3*n, nCamera, nil)
	for i, p := range patches {
		slopes := c.jacobian(p.got)
		for k, off := range [3]float64{p.off.L, p.off.A, p.off.B} {
			j.SetRow(3*i+k, slopes.RawRowView(k))
			l.off.SetVec(3*i+k, off)
		}
		l.saturation = append(l.saturation, c.saturationSlope(p.got))
		l.at = append(l.at, p.got)
	}
	var product mat.Dense
	product.Product(j, c.posterior, j.T())
	for i := range 3 * n {
		for k := i; k < 3*n; k++ {
			l.posterior.SetSym(i, k, product.At(i, k))
		}
	}
	return l
}

// unlikely is the negative logarithm of the likelihood, for each patch.
func (l *leftTogether) unlikely(m *cameraMisfit, degrees float64) float64 {
	n := len(l.at)
	cov := mat.NewSymDense(3*n, nil)
	cov.CopySym(l.posterior)
	for i := range n {
		for k := i; k < n; k++ {
			misfit := m.covariance(l.at[i], l.at[k], l.saturation[i], l.saturation[k])
			for a := range 3 {
				for b := range 3 {
					if i != k || a <= b {
						cov.SetSym(3*i+a, 3*k+b, cov.At(3*i+a, 3*k+b)+misfit[a][b])
					}
				}
			}
		}
	}
	var factor mat.Cholesky
	var solved mat.VecDense
	if !factor.Factorize(cov) || factor.SolveVecTo(&solved, l.off) != nil {
		return math.Inf(1)
	}
	return l.weight / 2 * (factor.LogDet() + (degrees+float64(3*n))*math.Log1p(mat.Dot(&solved, l.off)/degrees))
}
