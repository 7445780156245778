package plan

import (
	"fmt"
	"testing"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
)

// BenchmarkAnswer is all that is worked out for a piece of four areas and three coatings: the plan,
// the mixes and what to test next. It tells what each takes of the whole.
func BenchmarkAnswer(b *testing.B) {
	woods := []wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}}
	shelf := []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}
	to := colour.Lab{L: 42, A: 14, B: 20}
	for name, targets := range map[string][]colour.Lab{"meet": nil, "targets": {to, to, to, to}} {
		b.Run(name, func(b *testing.B) {
			problem, colours := pieceOf(woods, targets...)
			w := scattered(64, 0.15, shelf, colours)
			for b.Loop() {
				plan, err := Make(b.Context(), w, problem)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := Mixes(b.Context(), w, problem, []float64{0.2, 0.2, 0.2}); err != nil {
					b.Fatal(err)
				}
				if _, err := NextTests(b.Context(), plan); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "pieces/s")
		})
	}
}

// BenchmarkNextTests is the part of it that looks for the next test.
func BenchmarkNextTests(b *testing.B) {
	woods := []wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}}
	problem, colours := pieceOf(woods)
	plan, err := Make(b.Context(), scattered(64, 0.15, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash},
		colours), problem)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := NextTests(b.Context(), plan); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(plan.by.tests())*b.N)/b.Elapsed().Seconds(), "tests/s")
}

// BenchmarkAnswerGrows is the same with targets for more areas and more coatings on the shelf.
func BenchmarkAnswerGrows(b *testing.B) {
	woods := []wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}}
	to := colour.Lab{L: 42, A: 14, B: 20}
	for _, size := range []struct{ areas, coatings int }{{1, 3}, {4, 3}, {16, 3}, {4, 1}, {4, 2}, {4, 4}, {4, 8}} {
		b.Run(fmt.Sprintf("Areas%dCoatings%d", size.areas, size.coatings), func(b *testing.B) {
			var some []wood
			var targets []colour.Lab
			for i := range size.areas {
				some, targets = append(some, woods[i%len(woods)]), append(targets, to)
				some[i].name = fmt.Sprint(woods[i%len(woods)].name, i)
			}
			var shelf []*blend.Coating
			var diluted []float64
			for i := range size.coatings {
				k := *[]*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}[i%3]
				k.Name = fmt.Sprint(k.Name, i)
				shelf, diluted = append(shelf, &k), append(diluted, 0.2)
			}
			problem, colours := pieceOf(some, targets...)
			w := scattered(64, 0.15, shelf, colours)
			for b.Loop() {
				plan, err := Make(b.Context(), w, problem)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := Mixes(b.Context(), w, problem, diluted); err != nil {
					b.Fatal(err)
				}
				if _, err := NextTests(b.Context(), plan); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
