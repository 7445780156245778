package learn

import (
	"math"

	"huewright/blend"
	"huewright/colour/spectra"
)

// What to expect of a clear coat before there is evidence: that it takes 5 to 12 off L* (typical
// size, from memory, no source), and is a little yellow. Wetting is found as its logit, amber as its
// logarithm.
const (
	meanWetting, wettingSD = -0.4, 0.8
	ambersSD               = 1.0
	clearMisfit            = 0.7 // in each of L*, a*, b*: one number does not tell all of a finish
)

var meanAmber = math.Log(0.03)

const (
	atWetting = iota
	atAmber
	clearUnknowns
)

// A finish is the clear coat among what is found out together.
type finish struct{ seen []observation }

func newFinish(e *ClearEvidence, r *readings) *finish {
	f := &finish{}
	for _, s := range e.Spots {
		under := r.of(s.Before)
		f.seen = append(f.seen, observation{
			seen: s.After.Lab, ground: r.ground[under].Mean, reading: r.of(s.After), under: under, misfit: clearMisfit,
		})
	}
	return f
}

func clearCoat(at []float64) blend.ClearCoat {
	return blend.ClearCoat{Wetting: 1 / (1 + math.Exp(-at[atWetting])), Amber: math.Exp(at[atAmber])}
}

func (f *finish) size() int             { return clearUnknowns }
func (f *finish) sights() []observation { return f.seen }
func (f *finish) starts() [][]float64   { return [][]float64{{meanWetting, meanAmber}} }

func (f *finish) prior() (l linear) {
	l.add(meanWetting/wettingSD, []float64{1 / wettingSD, 0})
	l.add(meanAmber/ambersSD, []float64{0, 1 / ambersSD})
	return l
}

func (f *finish) predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64 {
	see := func(at []float64) [3]float64 {
		s := clearCoat(at).Over(&f.seen[i].ground)
		lab := s.Lab()
		return [3]float64{lab.L, lab.A, lab.B}
	}
	const h = 1e-4
	for k := range at {
		moved := [clearUnknowns]float64(at)
		moved[k] += h
		up := see(moved[:])
		moved[k] -= 2 * h
		down := see(moved[:])
		for c := range slopes {
			slopes[c][from+k] = (up[c] - down[c]) / (2 * h)
		}
	}
	return see(at)
}

func (f *finish) leaning(i int, at []float64) (l sensitivity) {
	const h = 1e-4
	ground := &f.seen[i].ground
	clear := clearCoat(at)
	seen := clear.Over(ground)
	up := *ground
	for band := range up {
		up[band] += h
	}
	moved := clear.Over(&up) // each band depends on itself alone
	by := spectra.BandJacobian(&seen)
	for c := range by {
		for band, slope := range by[c] {
			l.ground[c][band] = slope * (moved[band] - seen[band]) / h
		}
	}
	return l
}

// problem says what is impossible about a spot, or nothing.
func (s *ClearSpot) problem() string {
	for _, m := range []struct {
		name string
		of   *Measured
	}{{"dry", &s.Before}, {"clear-coated", &s.After}} {
		if problem := m.of.Problem(); problem != "" {
			return m.name + ": " + problem
		}
	}
	return ""
}
