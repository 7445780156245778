package learn

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A solution is the MAP fit of a [Dataset], its linearisation there and a report on each coating.
type solution struct {
	*problem
	dataset        *Dataset
	componentIndex []int     // of each coating of the shelf among the components; the clear coat comes next
	mixed          *mixtures // the last component; nil where nothing was mixed
	posterior      posterior
	whitening      whitening
	jacobian       jacobian
	reports        []Report
}

// solve fits a dataset. Coatings enter in the order of their names, so that the shelf's order does not matter.
func (d *Dataset) solve(ctx context.Context) (*solution, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	f := &solution{dataset: d, componentIndex: make([]int, len(d.Shelf))}
	r := gatherReadings(d.evidence(), d.others(), d.Shared)
	order := make([]int, len(d.Shelf))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(d.Shelf[a].Name, d.Shelf[b].Name) })
	components := make([]component, 0, len(order)+1)
	for _, k := range order {
		f.componentIndex[k] = len(components)
		components = append(components, newCoatingComponent(&d.Shelf[k], d.Bias, r))
	}
	components = append(components, newClearComponent(&d.Clear, r))
	if f.mixed = newMixtures(d.Shelf, f.componentIndex, r); f.mixed != nil {
		components = append(components, f.mixed)
	}
	f.problem = newProblem(r, components...)
	var err error
	if f.posterior, f.whitening, err = f.problem.solve(ctx); err != nil {
		return nil, err
	}
	f.jacobian = f.problem.jacobianAt(f.posterior.at)
	f.report()
	return f, nil
}

// name returns what tells a component from others: the name of a coating, "" of the clear coat.
func (f *solution) name(k int) []string {
	switch c := f.components[k].(type) {
	case *coatingComponent:
		return []string{c.coating.Name}
	case *mixtures:
		return []string{"", "mixtures"}
	}
	return []string{""}
}

// report fills in a report for each coating of the shelf.
func (f *solution) report() {
	covariance := f.covariance()
	sd := f.jacobian.standardDeviations(f.problem)
	work := f.scratch()
	f.residualsAt(f.posterior.at, nil, work)
	for k := range f.dataset.Shelf {
		evidence, component := &f.dataset.Shelf[k].Evidence, f.componentIndex[k]
		report := Report{at: point(f.unknownsOf(f.posterior.at, component))}
		if covariance != nil {
			from := f.offsets[component]
			report.covariance = mat.NewSymDense(unknowns, nil)
			report.covariance.CopySym(covariance.SliceSym(from, from+unknowns))
		}
		tests := 0
		for i := range f.observations {
			if f.component[i] != component {
				continue
			}
			v := &f.observations[i]
			predicted := v.seen
			predicted.L += work.residuals[3*i]
			predicted.A += work.residuals[3*i+1]
			predicted.B += work.residuals[3*i+2]
			of := 0
			if !v.opaque {
				tests++
				of = tests
			}
			report.residuals = append(report.residuals, residual{of, v.seen, predicted, colour.DeltaE2000(v.seen, predicted), sd[i]})
		}
		report.Warnings = evidence.warnings(report.residuals)
		f.reports = append(f.reports, report)
	}
}

// covariance returns the Laplace covariance of all unknowns, the inverse of the curvature at the most probable
// point; nil where it has none. A prior term of Student's t counts as a normal distribution of the same
// variance: at the most probable point, where paints hardly change from knot to knot, its tail does not show.
func (f *solution) covariance() *mat.SymDense {
	curvature := mat.NewSymDense(f.size, nil)
	curvature.CopySym(f.posterior.curvature)
	for k := range f.components {
		at := f.unknownsOf(f.posterior.at, k)
		for i, row := range f.priors[k].rows {
			if f.priors[k].kind[i] != ofStudent {
				continue
			}
			residual := -f.priors[k].want[i]
			for j, v := range row {
				residual += v * at[j]
			}
			_, slope := studentLoss(residual)
			for a, v := range row {
				for b := a; b < len(row) && v != 0; b++ {
					i, j := f.offsets[k]+a, f.offsets[k]+b
					curvature.SetSym(i, j, curvature.At(i, j)+(1-2/studentDegrees-slope*slope)*v*row[b])
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
