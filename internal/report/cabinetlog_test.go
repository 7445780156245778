package report_test

import (
	"math"
	"strings"
	"time"

	"huewright/blend/learn"
	"huewright/blend/repair"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

var (
	wash    = logbook.Coating{Name: "nut-brown wash", Kind: "wash", Batch: "March tin"}
	oneCoat = logbook.Stack{{Coating: "nut-brown wash", Coats: 1}}
	hash    = strings.Repeat("c0ffee", 10) + "1234"
)

// cabinetEntries are one of each kind, over two days; a reading was put right and a note withdrawn.
func cabinetEntries() []logbook.Entry {
	warm := 19.5
	result := ashWashed[0]
	all := []logbook.Entry{
		{Kind: "area", Area: "frame", Facts: &logbook.AreaFacts{Wood: "ash", Cut: "quartersawn", Surface: "sealed",
			Sanding: "to P180", SquareMetres: 0.62}},
		{Kind: "picture", Picture: &logbook.Picture{SHA256: hash}},
		{Kind: "reference", Reference: &logbook.Reference{SHA256: hash, By: "chart", Patches: 23, LeftOut: 2.1, LeftOut95: 4.6}},
		{Kind: "reading", Area: "frame", Run: 3, ReplacedBy: 5,
			Reading: &logbook.Reading{Of: "area", Lab: colour.Lab{L: 81.2, A: -0.01, B: 20}, PlusMinus: 2.4, Relative: true}},
		{Kind: "reading", Area: "frame", Run: 3, Replaces: 4, Reading: &logbook.Reading{Of: "area", Lab: ash, PlusMinus: 2.04}},
		{Kind: "plan", Area: "frame", Run: 4, Plan: &logbook.Plan{Coats: 3, Low: 2, High: 4,
			Stack: logbook.Stack{{Coating: "nut-brown wash", Coats: 3}}, Target: &oldBoard, Before: 32.4, After: 2.3}},
		{Kind: "test coat", Area: "frame", TestCoat: &logbook.TestCoat{Coating: wash, Coats: 1, Share: 0.2, Ground: 5, Result: 4}},
		{Kind: "note", Note: "the left door drinks more", Withdrawn: true, ReplacedBy: 10},
		{Kind: "coats", Area: "frame", Coats: &logbook.Coats{Coating: wash, Coats: 1, Share: 0.2, ThinnedWith: "water",
			Temperature: &warm, LaidBy: "brushed", ResultColour: &result}},
		{Kind: logbook.KindWithdrawal, Replaces: 8},
		{Kind: "check", Area: "filled corner", Check: &logbook.Check{Says: string(repair.ShowNear), Of100: 98, DeltaE: 3.2}},
		{Kind: "note", Note: "The customer asks that the edges of the doors stay a shade darker than their fields, as worn wood would be."},
	}
	for i := range all {
		e := &all[i]
		e.ID, e.Piece, e.At = int64(i+1), "music cabinet", morning.Add(time.Duration(i)*20*time.Minute)
		if i > 6 {
			e.At = e.At.Add(24 * time.Hour)
		}
	}
	return all
}

func cabinetHistory() *record.History {
	entries := cabinetEntries()
	return &record.History{
		Piece: logbook.Piece{ID: 1, Name: "music cabinet", About: "for the school's music room; ash frame, sapele panels",
			BegunAt: morning, Entries: len(entries)},
		Entries: entries,
	}
}

func loggedPieces() []logbook.Piece {
	return []logbook.Piece{
		{ID: 1, Name: "music cabinet", About: "for the school", BegunAt: morning, LastAt: morning.Add(28 * time.Hour), Entries: 12},
		{ID: 2, Name: "hall bench", BegunAt: morning.AddDate(0, -2, 0), LastAt: morning.AddDate(0, -1, -9), Entries: 1},
	}
}

// near are readings near a colour.
func near() []logbook.Found {
	e := cabinetEntries()
	return []logbook.Found{{Entry: e[4], DeltaE: 0.6}, {Entry: e[3], DeltaE: 12.3}}
}

// found are entries with a word, one of which belongs to no piece.
func found() []logbook.Found {
	e := cabinetEntries()
	loose := e[11]
	loose.Piece, loose.ID = "", 31
	return []logbook.Found{{Entry: e[8]}, {Entry: loose}}
}

// scores are of two coatings; the second came out once, and as foreseen.
func scores() *record.Scores {
	score := func(name string, pieces, results, within int, deltaE float64, off colour.Lab, se float64) record.CoatingScore {
		brown := colour.Lab{L: 50, A: 14, B: 20}
		differs := colour.DescribeDifference(brown, colour.Lab{L: brown.L + off.L, A: brown.A + off.A, B: brown.B + off.B})
		return record.CoatingScore{
			Coating: name, Pieces: pieces, Results: results, Within: within, DeltaE: deltaE, Off: off, OffSE: [3]float64{se, se, se}, Words: differs,
		}
	}
	return &record.Scores{
		Coatings: []record.CoatingScore{
			score("nut-brown wash", 3, 9, 8, 2.3, colour.Lab{L: -1.8, A: 0.3, B: -0.4}, 0.5),
			score("amber glaze", 1, 1, 1, 0.7, colour.Lab{L: 0.2, A: 0.1, B: 0.3}, math.NaN()),
		},
		All:    score("", 3, 10, 9, 2.1, colour.Lab{L: -1.6, A: 0.3, B: -0.3}, 0.5),
		Counts: []logbook.Count{{Piece: "hall bench", Suggested: 3, Laid: 3}, {Piece: "sideboard", Suggested: 2, Laid: 3}}, Exact: 1,
		NearlySo: 2, InRange: 2,
		Bias: learn.Bias{Film: 0.09}, Pieces: 3,
	}
}

// board is a sample board of ash with one coat; bare is one of which little was noted.
func board() *logbook.Board {
	e := cabinetEntries()
	return &logbook.Board{
		Piece: "music cabinet", Area: "frame", Facts: logbook.AreaFacts{Wood: "ash", Cut: "quartersawn", WoodAge: "new", Surface: "sealed",
			Sanding: "to P180"},
		Coats: []logbook.Entry{e[8]}, Reference: "chart",
		Before: &logbook.Point{At: morning, Lab: ash, PlusMinus: 2.04},
		After:  &logbook.Point{At: morning.Add(27 * time.Hour), Lab: ashWashed[0], PlusMinus: 2.2, Stack: oneCoat},
	}
}

func bareBoard() *logbook.Board {
	return &logbook.Board{Piece: "music cabinet", Area: "panel", Reference: "none"}
}

// drift is the frame before its coat, just after it, and over two summers.
func drift(surely bool) *record.Drift {
	d := &record.Drift{
		Piece: "music cabinet", Area: "frame", Since: 1, Wood: "ash", Ageing: fault.Say("wood.other"),
		Points: []logbook.Point{
			{At: morning, Lab: ash, PlusMinus: 2.04}, {At: morning.Add(27 * time.Hour), Lab: ashWashed[0], PlusMinus: 2.2, Stack: oneCoat},
			{At: morning.AddDate(0, 6, 0), Lab: colour.Lab{L: 60.1, A: 9.9, B: 27}, PlusMinus: 1.9, Stack: oneCoat},
			{At: morning.AddDate(1, 6, 3), Lab: colour.Lab{L: 57.8, A: 10.8, B: 29.3}, PlusMinus: 2, Stack: oneCoat},
		},
		OffBoth: 2.9, Surely: surely,
	}
	if !surely {
		d.Points, d.OffBoth = d.Points[:3], 2.8
	}
	last := d.Points[len(d.Points)-1].Lab
	d.DeltaE, d.Words = apart(ashWashed[0], last), colour.DescribeDifference(ashWashed[0], last)
	return d
}

// bareDrift is a single reading.
func bareDrift() *record.Drift {
	return &record.Drift{
		Piece: "music cabinet", Area: "panel", Points: []logbook.Point{{At: morning, Lab: sapele,
			PlusMinus: 1.88}}, Ageing: fault.Say("wood.cherry"),
	}
}
