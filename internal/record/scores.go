package record

import (
	"context"
	"math"
	"slices"
	"strings"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

// Scores say how good the log's predictions have been.
type Scores struct {
	Coatings []CoatingScore // the one with most outcomes first
	All      CoatingScore   // over all of them
	Counts   []logbook.Count
	Exact    int // counts that were right
	NearlySo int // right or one off
	InRange  int // within the range that holds 80 times in 100
	Bias     learn.Bias
	Pieces   int // that Bias was found from
}

// A CoatingScore says how good predictions of one coating have been.
type CoatingScore struct {
	Coating string // "" for all
	Pieces  int
	Results int
	DeltaE  float64    // mean ΔE00 between predicted and measured
	Within  int        // of Results within the stated 95 % radius
	Off     colour.Lab // mean of measured less predicted
	OffSE   [3]float64 // its standard error; NaN of one
	Words   fault.Note // how the mean is off
}

// ScoresOf compares predictions with outcomes over the whole log.
func ScoresOf(ctx context.Context, log *logbook.Log) (*Scores, error) {
	outcomes, err := log.Outcomes(ctx)
	if err != nil {
		return nil, err
	}
	s := &Scores{All: score("", outcomes)}
	by := map[string][]logbook.Outcome{}
	for _, o := range outcomes {
		by[o.Coating] = append(by[o.Coating], o)
	}
	for name, some := range by {
		s.Coatings = append(s.Coatings, score(name, some))
	}
	slices.SortFunc(s.Coatings, func(a, b CoatingScore) int {
		if a.Results != b.Results {
			return b.Results - a.Results
		}
		return strings.Compare(a.Coating, b.Coating)
	})
	if s.Counts, err = log.Counts(ctx); err != nil {
		return nil, err
	}
	for _, c := range s.Counts {
		if c.Suggested == c.Laid {
			s.Exact++
		}
		if d := c.Suggested - c.Laid; d*d <= 1 {
			s.NearlySo++
		}
		if c.Laid >= c.Low && c.Laid <= c.High {
			s.InRange++
		}
	}
	s.Bias, s.Pieces, err = log.Bias(ctx, "")
	return s, err
}

func score(coating string, outcomes []logbook.Outcome) CoatingScore {
	s := CoatingScore{Coating: coating, Results: len(outcomes)}
	pieces := map[string]bool{}
	var predicted, measured colour.Lab
	n := float64(len(outcomes))
	var sum, squares [3]float64
	for i := range outcomes {
		o := &outcomes[i]
		pieces[o.Piece] = true
		s.DeltaE += o.DeltaE / n
		if o.Within() {
			s.Within++
		}
		for c, off := range o.Evidence().Residual {
			sum[c], squares[c] = sum[c]+off, squares[c]+off*off
		}
		predicted = colour.Lab{L: predicted.L + o.Predicted.L/n, A: predicted.A + o.Predicted.A/n, B: predicted.B + o.Predicted.B/n}
		measured = colour.Lab{L: measured.L + o.Measured.L/n, A: measured.A + o.Measured.A/n, B: measured.B + o.Measured.B/n}
	}
	s.Pieces = len(pieces)
	if len(outcomes) == 0 {
		return s
	}
	s.Off = colour.Lab{L: sum[0] / n, A: sum[1] / n, B: sum[2] / n}
	for c := range sum {
		mean := sum[c] / n
		s.OffSE[c] = math.Sqrt(max(0, squares[c]/n-mean*mean) / (n - 1))
	}
	s.Words = colour.DescribeDifference(predicted, measured)
	return s
}
