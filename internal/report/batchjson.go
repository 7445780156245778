package report

import (
	"cmp"

	"huewright/blend/schedule"
)

// sparePercent of a batch are left over: what the piece asks for, or the usual.
func sparePercent(spare float64) float64 { return 100 * cmp.Or(spare, schedule.Surplus) }

type batchJSON struct {
	Coating string   `json:"coating"`
	MixML   num      `json:"mix_ml"` // with its spare; 0 where no area has a size
	PaintML num      `json:"paint_ml"`
	ThinML  num      `json:"thinner_ml"`
	Needed  [2]num   `json:"needed_ml"`
	Spread  [2]num   `json:"spread_m2_per_l"`
	Label   bool     `json:"spread_of_label"`
	Unsized []string `json:"without_size"`
}

func batchesOf(batches []schedule.Batch) []batchJSON {
	all := []batchJSON{}
	for _, b := range batches {
		all = append(all, batchJSON{
			b.Coating, num(b.Mix), num(b.Paint), num(b.Thinner), [2]num{num(b.Needed[0]), num(b.Needed[1])},
			[2]num{num(b.Spread.Low), num(b.Spread.High)}, b.Spread.FromLabel, nonNil(b.UnsizedNames()),
		})
	}
	return all
}
