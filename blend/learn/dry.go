package learn

import (
	"context"
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/stat"
)

// A WetReading is a colour that was read of a surface while it was wet or under a clear coat.
type WetReading struct {
	Measured
	On    blend.Surface // as the clear coat finds it; "" counts as bare wood
	Amber bool          // under the clear coat itself, with its colour, and not wetted
}

// dryDraws is how many clear coats a reading is taken from.
const dryDraws = 200

// Dry returns what wet readings would have been of the same surfaces, dry: through the clear coat that the evidence tells of, and
// through that wetting alone where they were only wetted. Their radii grow by what is not known of it. Equal readings give equal results.
func (e *ClearEvidence) Dry(ctx context.Context, wet []WetReading, shared func(a, b Measured) [3][3]float64) ([]Measured, error) {
	if len(wet) == 0 {
		return nil, nil
	}
	clears, err := (&Dataset{Clear: *e, Shared: shared}).Draw(ctx, Options{Draws: dryDraws})
	if err != nil {
		return nil, err
	}
	all := make([]Measured, len(wet))
	for i := range wet {
		if problem := wet[i].Problem(); !problem.Empty() {
			all[i] = wet[i].Measured // told of where it is learned from
			continue
		}
		all[i] = wet[i].dry(clears)
	}
	return all, nil
}

func (w *WetReading) dry(clears *Samples) Measured {
	through := func(s *Sample, c colour.Lab) colour.Lab {
		clear := s.Clear.On(w.On)
		if !w.Amber {
			clear.Amber = 0
		}
		seen := spectra.PriorSpectrum(c)
		dry := clear.Under(&seen)
		return dry.Lab()
	}
	m := w.Measured
	m.Lab = through(&clears.Best, w.Lab)
	off := make([]float64, len(clears.Drawn))
	for i := range off {
		off[i] = colour.DeltaE2000(m.Lab, through(&clears.Drawn[i], w.Lab))
	}
	unsure := stat.Quantile(off, 0.95)
	lighter := w.Lab
	lighter.L = min(lighter.L+1, 100)
	grows := 1.0 // how much an error of the reading is one of the result
	if step := lighter.L - w.Lab.L; step > 0.1 {
		grows = max(1, (through(&clears.Best, lighter).L-m.Lab.L)/step)
	}
	if m.PlusMinus == 0 {
		m.PlusMinus = goodReadingSD * radiusPerSD
	}
	m.PlusMinus = math.Hypot(grows*m.PlusMinus, unsure)
	m.Own *= grows
	if m.Own > 0 {
		m.Own = math.Hypot(m.Own, unsure)
	}
	if m.Key != "" {
		m.Key += " dry"
	}
	return m
}
