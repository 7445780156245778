package workshop

import (
	"fmt"
	"slices"

	"huewright/blend/plan"
	"huewright/internal/piece"
)

func (r *PlanResult) shelfPlace(coating string) int {
	return slices.IndexFunc(r.Piece.Coatings, func(k piece.Coating) bool { return k.Name == coating })
}

// next is the coating that one coat more would be of.
func (r *PlanResult) next(a *AreaPlan) string {
	if a.Plan != nil {
		return a.Plan.OneMore.Coating
	}
	if r.Meet != nil {
		for _, m := range r.Meet.Choices[r.Meet.Chosen].Areas {
			if m.Name == a.Area.Name {
				return m.OneMore.Coating
			}
		}
	}
	return ""
}

// Named is the area of that name; nil where there is none.
func (r *PlanResult) Named(name string) *AreaPlan {
	for i := range r.Areas {
		if r.Areas[i].Area.Name == name {
			return &r.Areas[i]
		}
	}
	return nil
}

// Coats are those put forward for an area.
func (r *PlanResult) Coats(a *AreaPlan) []plan.CoatCount {
	if a.Plan != nil {
		return a.Plan.Coats
	}
	if r.Meet != nil {
		for _, m := range r.Meet.Choices[r.Meet.Chosen].Areas {
			if m.Name == a.Area.Name {
				return m.Coats
			}
		}
	}
	return nil
}

// Counted is what is put forward for an area, how it looks after each coat, after which coat to stop
// and look, and what is left then, in words.
func (a *AreaPlan) Counted(r *PlanResult) (coats []plan.CoatCount, path []plan.Step, stop int, left string) {
	if a.Plan != nil {
		return a.Plan.Coats, a.Plan.Path, a.Plan.StopAfter, fmt.Sprintf("ΔE00 %.1f from the target, from %.1f", a.Plan.After, a.Plan.Before)
	}
	if r.Meet != nil {
		choice := &r.Meet.Choices[r.Meet.Chosen]
		for i := range choice.Areas {
			if m := &choice.Areas[i]; m.Name == a.Area.Name {
				return m.Coats, m.Path, m.StopAfter, fmt.Sprintf("all areas then within ΔE00 %.1f, from %.1f", choice.Worst.Best, r.Meet.Before)
			}
		}
	}
	return nil, []plan.Step{{Lab: a.Start.Lab}}, 0, ""
}

// Planned is how many coats are put forward for an area.
func (r *PlanResult) Planned(a *AreaPlan) (n int) {
	for _, c := range r.Coats(a) {
		n += c.Count
	}
	return n
}

// firstCoats are the first n coats of those expected on an area.
func (r *PlanResult) firstCoats(a *AreaPlan, n int) (coats []plan.CoatCount) {
	for _, e := range a.Expected[:n] {
		name := r.Piece.Coatings[e.Coating].Name
		if last := len(coats) - 1; last >= 0 && coats[last].Coating == name {
			coats[last].Count++
		} else {
			coats = append(coats, plan.CoatCount{Coating: name, Count: 1})
		}
	}
	return coats
}

// stopAfter is the coat after which to stop and look.
func (r *PlanResult) stopAfter(a *AreaPlan) int {
	if a.Plan != nil {
		return a.Plan.StopAfter
	}
	if r.Meet != nil {
		for _, m := range r.Meet.Choices[r.Meet.Chosen].Areas {
			if m.Name == a.Area.Name {
				return m.StopAfter
			}
		}
	}
	return 0
}
