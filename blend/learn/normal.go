package learn

// A perturbation shifts observations, in CIELAB units, and prior means, in standard deviations.
type perturbation struct {
	seen  []float64
	prior []float64
}

// A scratch is working memory, for one fit after another.
type scratch struct {
	residuals []float64
	slopes    [][]float64 // of each residual
	sum       []float64   // the slopes of one whitened residual
	gradient  []float64
	square    []float64 // curvature, row by row, upper half
}

func (q *problem) scratch() *scratch {
	s := &scratch{
		residuals: make([]float64, q.rows), slopes: make([][]float64, q.rows),
		sum: make([]float64, q.size), gradient: make([]float64, q.size), square: make([]float64, q.size*q.size),
	}
	for i := range s.slopes {
		s.slopes[i] = make([]float64, q.size)
	}
	return s
}

// normal returns the cost at a point, and leaves in s its gradient and the Gauss–Newton approximation of its
// curvature.
func (q *problem) normal(at []float64, white whitening, shift *perturbation, s *scratch) (cost float64) {
	q.residualsAt(at, shift, s)
	clear(s.gradient)
	clear(s.square)
	for _, row := range white {
		clear(s.sum)
		residual := 0.0
		low, high := q.size, 0
		for k, w := range row {
			if w == 0 {
				continue
			}
			residual += w * s.residuals[k]
			first, last := q.reach(q.component[k/3])
			low, high = min(low, first), max(high, last)
			slopes := s.slopes[k]
			for j := first; j < last; j++ {
				s.sum[j] += w * slopes[j]
			}
		}
		cost += residual * residual / 2
		s.add(residual, s.sum, low, high, q.size)
	}
	term := 0
	for k := range q.components {
		prior, first := &q.priors[k], q.offsets[k]
		for i, row := range prior.rows {
			residual := prior.residual(i, at[first:], s.sum[first:first+len(row)])
			if shift != nil {
				residual -= shift.prior[term]
			}
			term++
			cost += residual * residual / 2
			s.add(residual, s.sum, first, first+len(row), q.size)
		}
	}
	return cost
}

// residualsAt writes to s the residuals, predicted less seen, and their derivatives by the unknowns.
func (q *problem) residualsAt(at []float64, shift *perturbation, s *scratch) {
	for i := range q.observations {
		v := &q.observations[i]
		k := q.component[i]
		slopes := [3][]float64{s.slopes[3*i], s.slopes[3*i+1], s.slopes[3*i+2]}
		first, last := q.reach(k)
		got := q.components[k].predict(q.index[i], at[first:last], &slopes, first)
		for c, seen := range [3]float64{v.seen.L, v.seen.A, v.seen.B} {
			s.residuals[3*i+c] = got[c] - seen
			if shift != nil {
				s.residuals[3*i+c] += shift.seen[3*i+c]
			}
		}
	}
}

// add adds a residual to the normal equations. Its slopes are 0 outside low to high.
func (s *scratch) add(residual float64, slope []float64, low, high, size int) {
	for i := low; i < high; i++ {
		si := slope[i]
		if si == 0 {
			continue
		}
		s.gradient[i] += si * residual
		row := s.square[i*size : i*size+size]
		for j := i; j < high; j++ {
			row[j] += si * slope[j]
		}
	}
}
