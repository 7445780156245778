package learn

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"
	"huewright/blend"
)

// A Dataset is all that was measured of a piece and of the coatings for it.
type Dataset struct {
	Shelf []ShelfCoating
	// Colours are what plans start from and aim at: grounds, their lightest and darkest quarters,
	// targets. Equal ones are one reading of one spot.
	Colours []Measured
	Clear   ClearEvidence
	Bias    Bias // of whoever lays the coats
	// Shared is the covariance, in L*, a*, b*, of what two readings have wrong about them on
	// account of their photos; see Evidence.Shared, which it stands for in the whole survey.
	Shared func(a, b Measured) [3][3]float64
}

// A ShelfCoating is a coating on the shelf, and what is known of it.
type ShelfCoating struct {
	Name     string
	Kind     blend.Kind
	Family   blend.Family // "" is not known
	PutOn    blend.PutOn  // "" means brushed
	Evidence Evidence
}

// Options changes how worlds are drawn.
type Options struct {
	Draws int    // 0 means 64; of fewer than 32, Best is the most probable point and not their middle
	Seed  uint64 // 0 means a fixed one: the same survey gives the same worlds
}

// Draw returns what the survey leaves open: worlds drawn with the probability they have, and the
// one in their middle. All that is measured counts together, so that what is wrong about a
// photo is drawn once for all of its readings, in tests and in the piece. The order of coatings
// and of colours makes no difference but to the last digits.
//
// It returns an *EvidenceError for a coating that nothing is known of, and for impossible
// readings, and a *PlanError for impossible colours.
func (s *Dataset) Draw(ctx context.Context, opt Options) (*Samples, error) {
	found, err := s.solve(ctx)
	if err != nil {
		return nil, err
	}
	if opt.Draws == 0 {
		opt.Draws = 64
	}
	if opt.Seed == 0 {
		opt.Seed = defaultSeed
	}
	draws, worlds, err := found.draw(ctx, opt.Draws, opt.Seed)
	if err != nil {
		return nil, err
	}
	return &Samples{Best: found.best(draws), Drawn: worlds, Reports: found.reports}, nil
}

const defaultSeed = 1948

// A solution is what a survey comes to.
type solution struct {
	*problem
	survey    *Dataset
	places    []int // of each coating of the shelf among the parts; the clear coat is the last part
	posterior posterior
	white     whitening
	leanings  jacobian
	coatings  []blend.Coating
	reports   []Report
}

// evidence is all that coatings are learned from, and others what else was measured.
func (s *Dataset) evidence() (all []Measured) {
	for i := range s.Shelf {
		for _, m := range s.Shelf[i].Evidence.readings() {
			all = append(all, *m)
		}
	}
	return all
}

func (s *Dataset) others() (all []Measured) {
	for _, c := range s.Clear.Spots {
		all = append(all, c.Before, c.After)
	}
	return append(all, s.Colours...)
}

func (s *Dataset) check() error {
	for i := range s.Shelf {
		if err := s.Shelf[i].check(); err != nil {
			return err
		}
	}
	if problem := s.Bias.problem(); problem != "" {
		return &InputError{problem, "leave it out: it is what a log tells of earlier pieces"}
	}
	for i := range s.Clear.Spots {
		if problem := s.Clear.Spots[i].problem(); problem != "" {
			return &InputError{fmt.Sprintf("clear coat: spot %d: %s", i+1, problem), AdviceColour}
		}
	}
	for i := range s.Colours {
		if problem := s.Colours[i].Problem(); problem != "" {
			return &InputError{fmt.Sprintf("colour %d: %s", i+1, problem), AdviceColour}
		}
	}
	return nil
}

func (s *Dataset) solve(ctx context.Context) (*solution, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	f := &solution{survey: s, places: make([]int, len(s.Shelf))}
	r := read(s.evidence(), s.others(), s.Shared)
	order := make([]int, len(s.Shelf))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.Shelf[a].Name, s.Shelf[b].Name) })
	parts := make([]component, 0, len(order)+1)
	for _, k := range order {
		f.places[k] = len(parts)
		parts = append(parts, newShelved(&s.Shelf[k], s.Bias, r))
	}
	f.problem = newProblem(r, append(parts, newFinish(&s.Clear, r))...)
	var err error
	if f.posterior, f.white, err = f.problem.solve(ctx); err != nil {
		return nil, err
	}
	f.leanings = f.problem.leanings(f.posterior.at)
	f.report()
	return f, nil
}

// part returns the unknowns of a part at a point.
func (q *problem) part(at []float64, k int) []float64 {
	return at[q.from[k] : q.from[k]+q.parts[k].size()]
}

// report tells, for each coating of the shelf, what was learned and how well.
func (f *solution) report() {
	covariance := f.covariance()
	spread := f.leanings.spread(f.problem)
	room := f.scratch()
	f.residualsAt(f.posterior.at, nil, room)
	for k := range f.survey.Shelf {
		known, place := &f.survey.Shelf[k], f.places[k]
		report := Report{at: point(f.part(f.posterior.at, place))}
		if covariance != nil {
			from := f.from[place]
			report.covariance = mat.NewSymDense(unknowns, nil)
			report.covariance.CopySym(covariance.SliceSym(from, from+unknowns))
		}
		for i := range f.all {
			if f.of[i] != place {
				continue
			}
			v := f.all[i]
			lab := v.seen
			lab.L += room.residuals[3*i]
			lab.A += room.residuals[3*i+1]
			lab.B += room.residuals[3*i+2]
			report.residuals = append(report.residuals, known.Evidence.residual(f.nth[i], &v, lab, spread[i]))
		}
		report.Warnings = known.Evidence.warnings(report.residuals)
		f.reports = append(f.reports, report)
		f.coatings = append(f.coatings, report.at.coating(known.Name, known.Kind, known.PutOn))
	}
}

// covariance is that of all unknowns, as the curvature has it; nil where it has none. What the
// prior expects with a heavy tail counts as a normal distribution of the same variance: at the
// most probable point, where paints hardly change from knot to knot, the tail does not show.
func (f *solution) covariance() *mat.SymDense {
	curvature := mat.NewSymDense(f.size, nil)
	curvature.CopySym(f.posterior.curvature)
	for k := range f.parts {
		at := f.part(f.posterior.at, k)
		for i, row := range f.priors[k].rows {
			if !f.priors[k].heavy[i] {
				continue
			}
			residual := -f.priors[k].want[i]
			for j, v := range row {
				residual += v * at[j]
			}
			_, slope := tamed(residual)
			for a, v := range row {
				for b := a; b < len(row) && v != 0; b++ {
					i, j := f.from[k]+a, f.from[k]+b
					curvature.SetSym(i, j, curvature.At(i, j)+(1-2/heavyTail-slope*slope)*v*row[b])
				}
			}
		}
	}
	var factors mat.Cholesky
	if !factors.Factorize(curvature) {
		return nil
	}
	covariance := mat.NewSymDense(f.size, nil)
	_ = factors.InverseTo(covariance) // badly conditioned, yet inverted
	return covariance
}
