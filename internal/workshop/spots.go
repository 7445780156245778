package workshop

import (
	"slices"

	"huewright/blend/plan"
)

// WithWood reports whether an area is a spot that gets the coats of its wood, and is told with it.
func (r *PlanResult) WithWood(a *AreaPlan) bool {
	wood := r.Named(a.Area.PartOf)
	return wood != nil && slices.EqualFunc(wood.Plan.Coats, a.Plan.Coats, func(x, y plan.CoatCount) bool {
		return x.Coating == y.Coating && x.Count == y.Count
	})
}

// TouchUpOf is the touch-up of a spot; nil for an area that is none.
func (r *PlanResult) TouchUpOf(area string) *plan.TouchUp {
	for i := range r.TouchUps {
		if r.TouchUps[i].Area == area {
			return &r.TouchUps[i]
		}
	}
	return nil
}
