package report

import (
	"cmp"
	"fmt"
	"strings"

	"huewright/blend/schedule"
	"huewright/internal/workshop"
)

// batches says how much to mix of each coating.
func (p *page) batches(r *workshop.PlanResult) {
	if len(r.Batches) > 0 {
		p.line("")
	}
	us := r.Piece.Units == "us"
	for i := range r.Batches {
		b := &r.Batches[i]
		if b.Mix > 0 {
			p.wrapped("  to mix: ", batch(b, r.Piece.Spare, us))
		}
		if len(b.Unsized) > 0 {
			p.wrapped("  ", fmt.Sprintf("how much %s takes on %s is not known: give its size, size_m2, or the "+
				"photo a scale", b.Coating, strings.Join(b.Unsized, ", ")))
		}
	}
}

func batch(b *schedule.Batch, spare float64, us bool) string {
	s := fmt.Sprintf("%s of %s in one batch, %.0f %% of it spare for touch-ups", volume(b.Mix, us), b.Coating, sparePercent(spare))
	if b.Thinner > 0.5 {
		s += fmt.Sprintf(": %s paint and %s water, or what it is thinned with", volume(b.Paint, us), volume(b.Thinner, us))
	}
	var areas []string
	for _, a := range b.Amounts {
		areas = append(areas, fmt.Sprintf("%s %s × %d", a.Area, square(a.SizeM2, us), a.Coats))
	}
	return s + fmt.Sprintf(" (%s; %s)", strings.Join(areas, ", "), covers(b.Spread, us))
}

// sparePercent of a batch are left over: what the piece asks for, or the usual.
func sparePercent(spare float64) float64 { return 100 * cmp.Or(spare, schedule.Surplus) }

func volume(ml float64, us bool) string {
	if us {
		return fmt.Sprintf("%.1f fl oz", ml/schedule.MillilitresPerFluidOunce)
	}
	return fmt.Sprintf("%.0f ml", ml)
}

func square(m2 float64, us bool) string {
	if us {
		return fmt.Sprintf("%.1f ft²", m2/schedule.SquareMetresPerSquareFoot)
	}
	return fmt.Sprintf("%.2f m²", m2)
}

func covers(r schedule.SpreadRate, us bool) string {
	times, unit := 1.0, "m² a litre"
	if us {
		times, unit = schedule.SquareFeetPerGallon, "ft² a gallon"
	}
	if r.FromLabel {
		return fmt.Sprintf("it covers %.3g %s, as its label says", times*r.Low, unit)
	}
	return fmt.Sprintf("%.3g to %.3g %s are usual; the label comes first", times*r.Low, times*r.High, unit)
}

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
			[2]num{num(b.Spread.Low), num(b.Spread.High)}, b.Spread.FromLabel, nonNil(b.Unsized),
		})
	}
	return all
}
