package learn_test

import (
	"context"
	"fmt"
	"math"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
)

// A dye scatters nothing, so that light crosses it twice and Beer and Lambert's law holds: two coats of
// K = 0.1 over a ground of 0.5 leave 0.5·exp(−2·0.1·2). A film that hides, over black, tends to K and S alone.
func ExampleFilm_Over() {
	dye := blend.Film{K: 0.1}
	fmt.Printf("%.4f %.4f\n", dye.Over(0.5, 2), 0.5*math.Exp(-0.4))
	paint := blend.Film{K: 0.05, S: 0.4}
	fmt.Printf("%.3f %.3f\n", paint.Over(0, 500), paint.Limit())
	// Output:
	// 0.3352 0.3352
	// 0.610 0.610
}

// The surface of a clear coat sends 4 % of the light back, and a white under it looks as white as before.
func ExampleSaunderson() {
	fmt.Printf("%.2f %.2f\n", blend.Saunderson(0, blend.OuterSurface, blend.InnerSurface), blend.Saunderson(1, blend.OuterSurface, blend.InnerSurface))
	// Output: 0.04 1.00
}

// The first coat takes a fifth of the way to the chip, so two of them go about a third of it. A wash is learned from its
// chip and one test coat each on a pale and a dark wood, and then planned with.
func ExampleDataset_Draw() {
	pale, dark := colour.Lab{L: 78, A: 4, B: 19}, colour.Lab{L: 46, A: 7, B: 15}
	data := learn.Dataset{Colours: []learn.Measured{{Lab: pale}, {Lab: colour.Lab{L: 60, A: 9, B: 21}}}, Shelf: []learn.ShelfCoating{{Name: "nut-brown wash", Kind: "wash", Evidence: learn.Evidence{
		Chip: &learn.Measured{Lab: colour.Lab{L: 30, A: 10, B: 14}},
		Tests: []learn.TestCoat{
			{Ground: learn.Measured{Lab: pale}, Result: learn.Measured{Lab: colour.Lab{L: 68, A: 7, B: 21}}, Coats: 1},
			{Ground: learn.Measured{Lab: dark}, Result: learn.Measured{Lab: colour.Lab{L: 43, A: 8, B: 15}}, Coats: 1},
		},
	}}}}
	samples, err := data.Draw(context.Background(), learn.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	area := plan.Area{Name: "frame", Surface: blend.Sealed, Mean: 0, Light: plan.None, Dark: plan.None, Target: 1}
	made, err := plan.Make(context.Background(), samples, plan.Problem{Areas: []plan.Area{area}})
	if err != nil {
		fmt.Println(err)
		return
	}
	coats := made.Areas[0].Coats[0]
	fmt.Printf("%d coats of %s\n", coats.Count, coats.Coating)
	// Output: 2 coats of nut-brown wash
}
