package repair

import (
	"math"

	"huewright/colour"
	"huewright/internal/stat"
)

// ellipsoidShare is the share of patches that differ from their surroundings less than what is still usual.
const ellipsoidShare = 0.95

// residual is the excess of the repair in one aspect. A patch may be as much lighter than its ring as
// wood often is, and only a little redder, as it never is: then the redness is the excess.
func (l *Appearance) residual(aspect string) [3]float64 {
	all := make([]float64, len(l.Patches))
	others := stat.Moments{Floor: aspectFloor}
	for i := range l.Patches {
		others.Add(aspectOf(&l.Patches[i], aspect))
	}
	for i := range l.Patches {
		all[i] = others.Distance(aspectOf(&l.Patches[i], aspect))
	}
	return others.ResidualOutside(aspectOf(&l.Repair, aspect), stat.Quantile(all, ellipsoidShare))
}

// residualDeltaE is the ΔE00 of an excess of colour from that of the ring.
func residualDeltaE(ring colour.Lab, by [3]float64) float64 {
	return colour.DeltaE2000(ring, colour.Lab{L: ring.L + by[0], A: ring.A + by[1], B: ring.B + by[2]})
}

// spreadResidual is the L* by which the spread is beyond the usual: its aspect is a logarithm of ratios.
func (l *Appearance) spreadResidual() float64 {
	by := l.residual(aspectSpread)[0]
	if by == 0 {
		return 0
	}
	is := l.Repair.Patch.Spread + spreadFloor
	return is - is/math.Exp(by)
}
