package report_test

import (
	"huewright/imageio"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// carriedBySlips are four areas in another photo: one with few corners and one with many that fit, one that does not, and one beside it.
func carriedBySlips() *workshop.CarryResult {
	var round imageio.Outline
	for i := range 20 {
		round.Points = append(round.Points, imageio.Point{X: float64(100 + 10*i), Y: float64(100 + i*i)})
	}
	return &workshop.CarryResult{
		From: "front.jpg", To: "later.jpg", Slips: []slip.Design{{Number: 1, Set: 2}, {Number: 4, Set: 2}}, Places: 280, Agree: 0.62,
		Areas: []workshop.CarriedArea{
			{Name: "frame", Outline: imageio.Rect(120.5, 300, 400, 250), Sure: workshop.Sure, Seen: 1, Edges: 0.8},
			{Name: "left panel", Outline: round, Sure: workshop.Sure, Seen: 0.97, Edges: 0.7,
				Warnings: []fault.Note{fault.Say("carry.other-colour", "area", "left panel")}},
			{Name: "door", Outline: imageio.Rect(700, 300, 40, 50), Sure: workshop.Doubtful, Seen: 0.6, Edges: 0.1,
				Warnings: []fault.Note{fault.Say("carry.doubtful", "area", "door")}},
			{Name: "foot", Sure: workshop.Beside, Seen: 0.2, Warnings: []fault.Note{fault.Say("carry.beside", "area", "foot")}},
		},
		Warnings: []fault.Note{fault.Say("carry.slip-moved", "slip", 3)},
	}
}

// proposedOutlines are one area that was found from the picture alone.
func proposedOutlines() *workshop.CarryResult {
	r := carriedBySlips()
	r.Slips, r.Warnings, r.Areas = nil, nil, r.Areas[:1]
	r.Areas[0].Sure = workshop.Likely
	return r
}
