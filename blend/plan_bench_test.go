package blend

import (
	"testing"

	"huewright/colour"
)

// BenchmarkAnswer is all that is worked out for a piece of four areas and three coatings: the plan,
// the mixes and what to test next. It tells what each takes of the whole.
func BenchmarkAnswer(b *testing.B) {
	woods := []wood{paleFrame, redPanel, {"rail", Sealed, oak, colour.Lab{L: 60, A: 9, B: 24}}, {"foot", NonAbsorbing, walnut, colour.Lab{L: 42, A: 7, B: 14}}}
	shelf := []*Coating{redWash, mudGlaze, paleWash}
	to := colour.Lab{L: 42, A: 14, B: 20}
	for name, targets := range map[string][]colour.Lab{"meet": nil, "targets": {to, to, to, to}} {
		b.Run(name, func(b *testing.B) {
			ask, colours := pieceOf(woods, targets...)
			w := scattered(64, 0.15, shelf, colours)
			for b.Loop() {
				plan, err := PlanPiece(w, ask)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := PlanMix(w, ask, []float64{0.2, 0.2, 0.2}); err != nil {
					b.Fatal(err)
				}
				NextTests(w, ask, plan)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "pieces/s")
		})
	}
}
