package logbook

import (
	"context"
	"strings"
	"time"

	"huewright/colour"
)

// A Point is an area's colour at a time.
type Point struct {
	Entry     int64
	At        time.Time
	Lab       colour.Lab
	PlusMinus float64
	Stack     Stack
}

// Drift is every reading of an area that stands, the earliest first.
func (l *Log) Drift(ctx context.Context, piece, area string) ([]Point, error) {
	if _, err := l.Piece(ctx, piece); err != nil {
		return nil, err
	}
	all, err := l.entries(ctx, `WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND e.area = ?
		AND r.of = 'area' AND x.id IS NULL ORDER BY e.at, e.id`, strings.TrimSpace(piece), area)
	var points []Point
	for _, e := range all {
		points = append(points, Point{e.ID, e.At, e.Reading.Lab, e.Reading.PlusMinus, e.Reading.Stack})
	}
	if err == nil && len(points) == 0 {
		err = wrong("logbook.no-reading", "area", area, "piece", piece)
	}
	return points, err
}

// A Board is all that is kept of an area, for the back of a sample board.
type Board struct {
	Piece, Area string
	Facts       AreaFacts
	Coats       []Entry // that stand, the undermost first
	Before      *Point  // before any coat; nil not read
	After       *Point  // the last one after the last coat; nil not read since
	Reference   string  // what the photo of the last of both was set right by
}

// Board gathers what is known of an area. Where that is nothing it is a fault.
func (l *Log) Board(ctx context.Context, piece, area string) (*Board, error) {
	all, err := l.Timeline(ctx, piece)
	if err != nil {
		return nil, err
	}
	b := &Board{Piece: piece, Area: area}
	references := map[string]string{}
	var readings []*Entry
	found := false
	for i := range all {
		e := &all[i]
		if !e.Stands() {
			continue
		}
		if e.Reference != nil {
			references[e.Reference.SHA256] = e.Reference.By
		}
		if e.Area != area {
			continue
		}
		found = true
		switch {
		case e.Facts != nil:
			b.Facts = *e.Facts
		case e.Coats != nil:
			b.Coats = append(b.Coats, *e)
		case e.Reading != nil && e.Reading.Of == "area":
			readings = append(readings, e)
		}
	}
	if !found {
		return nil, wrong("logbook.no-area", "area", area, "piece", piece)
	}
	for _, e := range readings {
		p := &Point{e.ID, e.At, e.Reading.Lab, e.Reading.PlusMinus, e.Reading.Stack}
		if b.Before == nil && b.isBefore(e) {
			b.Before = p
		}
		if b.isAfter(e) {
			b.After, b.Reference = p, references[e.Reading.SHA256]
		}
		if b.After == nil && b.Before == p {
			b.Reference = references[e.Reading.SHA256]
		}
	}
	return b, nil
}

// isBefore reports whether a reading was taken before any coat.
func (b *Board) isBefore(e *Entry) bool {
	if len(b.Coats) == 0 {
		return len(e.Reading.Stack) == 0
	}
	first := &b.Coats[0]
	return e.ID == first.Coats.Ground || len(e.Reading.Stack) == 0 && !e.At.After(first.At)
}

// isAfter reports whether a reading was taken after the last coat.
func (b *Board) isAfter(e *Entry) bool {
	if len(b.Coats) == 0 {
		return false
	}
	last := &b.Coats[len(b.Coats)-1]
	return e.ID == last.Coats.Result || e.At.After(last.At)
}
