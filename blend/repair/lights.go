package repair

import (
	"math/rand/v2"

	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// A LightRisk is what may happen to a repair under another light. From three numbers it is a risk and
// not a measurement: many spectra have one colour.
type LightRisk struct {
	Light        fault.Note // what lamp
	Median, High float64    // ΔE00 between repair and wood: 50 and 90 % quantile of the draws
	Now          float64    // in daylight
	Breaks       float64    // share of draws in which it is seen there, though not in daylight
}

// Risky reports whether the match may well break there.
func (r *LightRisk) Risky() bool { return r.Breaks > riskyFrom }

const (
	lightDraws = 160
	lampSeed   = 1948
	riskyFrom  = 0.2 // of LightRisk.Breaks
)

// breaksAt is the ΔE00 from which a match has broken: just acceptable side by side.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9: 50:50 % acceptability 1.8.
const breaksAt = 1.8

// LightRisks draws how repair and wood would differ under a filament lamp and a warm LED: both are given random metamers
// of their colour. Fillers and paints are of other stuff than wood, so their spectra are independent.
func LightRisks(l *Appearance) []LightRisk {
	patch, ring := l.Repair.Patch.Mean, l.Repair.Ring.Mean
	now := colour.DeltaE2000(ring, patch)
	lights := []*spectra.Light{spectra.LightA, spectra.LightWarmLED}
	lamps := []fault.Note{fault.Say("view.filament-lamp"), fault.Say("view.warm-led")}
	off := make([][]float64, len(lights))
	breaks := make([]float64, len(lights))
	rng := rand.New(rand.NewPCG(lampSeed, 2))
	draw := func(c colour.Lab) spectra.Spectrum {
		var by [spectra.Modes]float64
		for i := range by {
			by[i] = rng.NormFloat64()
		}
		return spectra.Metamer(c, &by)
	}
	for range lightDraws {
		a, b := draw(patch), draw(ring)
		for i, light := range lights {
			d := colour.DeltaE2000(b.LabUnder(light), a.LabUnder(light))
			off[i] = append(off[i], d)
			if d >= breaksAt && d >= now+colour.Perceptible {
				breaks[i] += 1.0 / lightDraws
			}
		}
	}
	var risks []LightRisk
	for i := range lights {
		risks = append(risks, LightRisk{lamps[i], stat.Quantile(off[i], 0.5), stat.Quantile(off[i], 0.9), now, breaks[i]})
	}
	return risks
}
