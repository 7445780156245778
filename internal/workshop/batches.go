package workshop

import (
	"huewright/blend"
	"huewright/blend/plan"
	"huewright/blend/schedule"
)

// batches reckons how much of each coating the plan put forward takes, all areas together.
func batches(r *PlanResult) (all []schedule.Batch) {
	for i := range r.Piece.Coatings {
		k := &r.Piece.Coatings[i]
		rate := schedule.UsualSpread(blend.Kind(k.Kind), k.HowPutOn())
		if k.Spread > 0 {
			rate = schedule.SpreadRate{Low: k.Spread, High: k.Spread, FromLabel: true}
		}
		var amounts []schedule.Amount
		for _, a := range r.Areas {
			amounts = append(amounts, schedule.Amount{
				Area: a.Area.Name, SizeM2: a.Area.SizeM2, Coats: countOf(r.Coats(&a), k.Name),
				Surface: blend.Surface(a.Area.Surface), Laid: len(a.Area.Laid) > 0,
			})
		}
		batch := schedule.NewBatch(k.Name, amounts, rate, k.Dilution.Share(), r.Piece.Spare)
		if batch.Mix > 0 || len(batch.Unsized) > 0 {
			all = append(all, batch)
		}
	}
	return all
}

func countOf(coats []plan.CoatCount, coating string) (n int) {
	for _, c := range coats {
		if c.Coating == coating {
			n += c.Count
		}
	}
	return n
}
