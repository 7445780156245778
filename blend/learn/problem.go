package learn

import "gonum.org/v1/gonum/mat"

// A problem is one regression: components, whose unknowns follow one another in one vector, and the readings that
// were taken of them. Components depend on one another only through the errors that their readings share, but for mixtures, whose
// colours depend on the unknowns of their paints.
type problem struct {
	components   []component
	readings     *readings
	offsets      []int // where each component's unknowns begin
	size         int   // number of unknowns
	rows         int   // number of residuals: three for each observation
	observations []observation
	component    []int         // of each observation
	index        []int         // of each observation among its component's
	films        *mat.SymDense // covariance of the logarithms of the observations' films
	priors       []priorTerms
}

// A component is a model that the evidence is fitted with: a coating, or the clear coat.
type component interface {
	size() int // number of unknowns
	observations() []observation
	prior() priorTerms
	starts() [][]float64 // points to start fits from
	// predict returns the colour that at predicts for observation i, and writes its derivatives by the
	// unknowns to slopes, from column from on. at are the component's own unknowns; to mixtures, all of them.
	predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64
	sensitivity(i int, at []float64) sensitivity
}

func newProblem(r *readings, components ...component) *problem {
	q := &problem{components: components, readings: r}
	for k, c := range components {
		q.offsets = append(q.offsets, q.size)
		q.size += c.size()
		q.priors = append(q.priors, c.prior())
		for i, v := range c.observations() {
			q.observations = append(q.observations, v)
			q.component, q.index = append(q.component, k), append(q.index, i)
		}
	}
	for _, c := range components {
		if m, is := c.(*mixtures); is {
			m.placeIn(q)
		}
	}
	q.rows = 3 * len(q.observations)
	if q.rows > 0 {
		q.films = q.filmCovariance()
	}
	return q
}

// reach returns the first unknown that the observations of component k depend on, and the first beyond them.
func (q *problem) reach(k int) (first, last int) {
	if _, is := q.components[k].(*mixtures); is {
		return 0, q.size
	}
	return q.offsets[k], q.offsets[k] + q.components[k].size()
}

// unknownsOf returns the unknowns of component k.
func (q *problem) unknownsOf(at []float64, k int) []float64 {
	return at[q.offsets[k] : q.offsets[k]+q.components[k].size()]
}
