package workshop

import (
	"context"
	"slices"

	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// ChosenCoats are the coats of one area in a plan that somebody chose: all that it then has had, also those that were on it already, the
// undermost first. So the choice is found again when coats of it have been laid.
type ChosenCoats struct {
	Area  string       `json:"area"`
	Coats []ChosenCoat `json:"coats,omitempty"`
}

// A ChosenCoat is a number of coats of one coating, at least 1.
type ChosenCoat struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
}

// choice is one of Choices, or, by a number behind those, of AsGood; nil where there is none of that number.
func (r *PlanResult) choice(i int) *plan.Choice {
	switch n := len(r.Choices); {
	case i < 0 || i >= n+len(r.AsGood):
		return nil
	case i < n:
		return &r.Choices[i]
	default:
		return &r.AsGood[i-n]
	}
}

// ChosenCoats are the coats by which a choice is asked for again; nil where there is none of that number. See Choosing.
func (r *PlanResult) ChosenCoats(i int) []ChosenCoats {
	if c := r.choice(i); c != nil {
		return inAll(&r.Piece, c)
	}
	return nil
}

// inAll are the coats of a choice over those that lie on a piece already.
func inAll(p *piece.Piece, c *plan.Choice) (all []ChosenCoats) {
	for i := range p.Areas {
		a := ChosenCoats{Area: p.Areas[i].Name}
		for _, l := range p.Areas[i].Laid {
			a.add(l.Coating, l.Coats)
		}
		for _, k := range c.Areas[i].Coats {
			a.add(k.Coating, k.Count)
		}
		all = append(all, a)
	}
	return all
}

// add puts coats on those that there are.
func (a *ChosenCoats) add(coating string, count int) {
	switch n := len(a.Coats); {
	case count == 0:
	case n > 0 && a.Coats[n-1].Coating == coating:
		a.Coats[n-1].Count += count
	default:
		a.Coats = append(a.Coats, ChosenCoat{coating, count})
	}
}

// chosenPlace is the number of the choice that lays some coats in all, as plan.Plan.Choose counts. Where there is none any more, it is the
// suggested one, and a note says so.
func chosenPlace(chosen []ChosenCoats, p *piece.Piece, planned *plan.Plan) (int, []fault.Note) {
	if len(chosen) == 0 {
		return 0, nil
	}
	all := slices.Concat(planned.Choices, planned.AsGood)
	for i := range all {
		if slices.EqualFunc(inAll(p, &all[i]), chosen, func(a, b ChosenCoats) bool {
			return a.Area == b.Area && slices.Equal(a.Coats, b.Coats)
		}) {
			return i, nil
		}
	}
	return 0, []fault.Note{fault.Say("plan.chosen-gone")}
}

// Rechoose is what PlanFrom gives for a request that differs from that of the plan in what was chosen alone, in a fraction of its time. One
// plan may be asked by one goroutine at a time.
func (r *PlanResult) Rechoose(ctx context.Context, req *PlanRequest) (*PlanResult, error) {
	return r.groundwork.result(ctx, req)
}
