package learn_test

import (
	"context"
	"fmt"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
)

// The first coat takes a fifth of the way to the chip, so two of them go about a third of it. A wash is learned from its
// chip and one test coat each on a pale and a dark wood, and then planned with.
func ExampleDataset_Draw() {
	pale, dark := colour.Lab{L: 78, A: 4, B: 19}, colour.Lab{L: 46, A: 7, B: 15}
	colours := []learn.Measured{{Lab: pale}, {Lab: colour.Lab{L: 60, A: 9, B: 21}}}
	data := learn.Dataset{Colours: colours, Shelf: []learn.ShelfCoating{{Name: "nut-brown wash", Kind: "wash", Evidence: learn.Evidence{
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
	coats := made.Choices[0].Areas[0].Coats[0]
	fmt.Printf("%d coats of %s\n", coats.Count, coats.Coating)
	// Output: 2 coats of nut-brown wash
}
