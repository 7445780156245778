package plan

import "huewright/blend"

// mayLie reports whether a coating may be laid on an area as it is, over what lies there already,
// and if not, why. More of what lies uppermost always may.
func (p *planner) mayLie(a *Area, k int) (ok bool, why string) {
	n := len(a.Laid)
	if n == 0 || a.Laid[n-1].Coating == k {
		return true, ""
	}
	shelf := p.best.sample.Coatings
	return blend.MayLie(&shelf[a.Laid[n-1].Coating], &shelf[k])
}

// layersMayLie reports whether the undermost coating of a course may go on an area as it is.
func (p *planner) layersMayLie(a *Area, c layers) bool {
	for _, l := range c {
		if l.count > 0 {
			ok, _ := p.mayLie(a, l.coating)
			return ok
		}
	}
	return true
}

// onlyFeasible is allowed, but for courses that may not go on an area as it is.
func (p *planner) onlyFeasible(a *Area, allowed func(*candidate) bool) func(*candidate) bool {
	return func(t *candidate) bool { return p.layersMayLie(a, t.layers) && allowed(t) }
}
