package plan

import (
	"context"
	"testing"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/internal/contexttest"
)

func TestPlanningStops(t *testing.T) {
	woods := []wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}}}
	shelf := []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}
	for name, target := range map[string][]colour.Lab{"to a target": {after(blendtest.RedWash, blendtest.Oak, 3, blend.Sealed)},
		"to meet": nil} {
		t.Run(name, func(t *testing.T) {
			problem, colours := pieceOf(woods, target...)
			w := scattered(8, 0.2, shelf, colours)
			contexttest.RequireStops(t, func(ctx context.Context) error {
				plan, err := Make(ctx, w, problem)
				if err != nil {
					return err
				}
				_, err = NextTests(ctx, plan)
				return err
			})
			contexttest.RequireStops(t, func(ctx context.Context) error {
				_, err := Mixes(ctx, w, problem, []float64{0.2, 0.2, 0.2})
				return err
			})
			contexttest.RequireStops(t, func(ctx context.Context) error {
				_, err := Expect(ctx, w, problem.Areas[0], []Layer{{0, 2}})
				return err
			})
			contexttest.RequireStops(t, func(ctx context.Context) error {
				_, err := Predict(ctx, w, problem.Areas[0], []Layer{{0, 2}}, problem.Areas[1].Mean)
				return err
			})
		})
	}
}
