package record

import (
	"context"
	"math"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

// A History is all that the log has of a piece.
type History struct {
	Piece   logbook.Piece
	Entries []logbook.Entry // in the order it happened; those that were put right among them
}

// HistoryOf gathers a piece's history.
func HistoryOf(ctx context.Context, log *logbook.Log, name string) (*History, error) {
	p, err := log.Piece(ctx, name)
	if err != nil {
		return nil, err
	}
	entries, err := log.Timeline(ctx, name)
	p.Entries = len(entries)
	return &History{p, entries}, err
}

// Stands are the entries that nothing has put right.
func (h *History) Stands() (all []logbook.Entry) {
	for _, e := range h.Entries {
		if e.Stands() && e.Kind != logbook.KindWithdrawal {
			all = append(all, e)
		}
	}
	return all
}

// A Drift is the change of an area's colour over time.
type Drift struct {
	Piece, Area string
	Points      []logbook.Point
	// Since is where the points begin that have the last coats on them: colours before are of
	// another surface, and no drift.
	Since   int
	Wood    string
	Ageing  fault.Note // what is known of the wood, as a caution
	DeltaE  float64    // ΔE00 from the first of Since to the last
	Surely  bool       // that is more than both readings may be off
	Words   fault.Note
	OffBoth float64 // 95 % radius of both readings together
}

// DriftOf follows an area's colour through the log.
func DriftOf(ctx context.Context, log *logbook.Log, p, area string) (*Drift, error) {
	points, err := log.Drift(ctx, p, area)
	if err != nil {
		return nil, err
	}
	board, err := log.Board(ctx, p, area)
	if err != nil {
		return nil, err
	}
	d := &Drift{Piece: p, Area: area, Points: points, Wood: board.Facts.Wood, Ageing: learn.Ageing(board.Facts.Wood)}
	last := points[len(points)-1]
	for d.Since = len(points) - 1; d.Since > 0 && sameStack(points[d.Since-1].Stack, last.Stack); d.Since-- {
	}
	first := points[d.Since]
	d.DeltaE, d.OffBoth = colour.DeltaE2000(first.Lab, last.Lab), math.Hypot(first.PlusMinus, last.PlusMinus)
	d.Surely, d.Words = d.DeltaE > d.OffBoth, colour.DescribeDifference(first.Lab, last.Lab)
	return d, nil
}
