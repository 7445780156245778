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
		err = wrong("see huewright log show for its areas", "nothing was read of an area %q of %q", area, piece)
	}
	return points, err
}

// A Board is all that is kept of an area, for the back of a sample board.
type Board struct {
	Piece, Area string
	Facts       AreaFacts
	Coats       []Entry // that stand, the undermost first
	Before      *Point  // before any coat; nil not read
	After       *Point  // the last; nil not read
	Reference   string  // what the last reading's photo was set right by
}

// Board gathers what is known of an area. It returns a *Fault of kind Wrong where that is nothing.
func (l *Log) Board(ctx context.Context, piece, area string) (*Board, error) {
	all, err := l.Timeline(ctx, piece)
	if err != nil {
		return nil, err
	}
	b := &Board{Piece: piece, Area: area}
	references := map[string]string{}
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
			p := &Point{e.ID, e.At, e.Reading.Lab, e.Reading.PlusMinus, e.Reading.Stack}
			if len(p.Stack) == 0 && b.Before == nil {
				b.Before = p
			}
			b.After, b.Reference = p, references[e.Reading.SHA256]
		}
	}
	if !found {
		return nil, wrong("see huewright log show for its areas", "the log has nothing of an area %q of %q", area, piece)
	}
	return b, nil
}
