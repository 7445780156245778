package logbook

import (
	"context"
	"strings"
	"time"

	"huewright/colour"
)

// A PastCoat is what some coats of a coating made of a ground, on a test spot or on a piece.
type PastCoat struct {
	Piece   string    `json:"piece"` // "" for what belongs to none
	Wood    string    `json:"wood,omitempty"`
	At      time.Time `json:"at"`
	Coating string    `json:"coating"`
	Batch   string    `json:"batch,omitempty"`
	Coats   float64   `json:"coats"`
	Share   float64   `json:"share"` // of the coating in the mix, 0–1
	Surface string    `json:"surface,omitempty"`
	OnPiece bool      `json:"on_piece,omitempty"`

	Ground          colour.Lab `json:"ground"`
	Result          colour.Lab `json:"result"`
	GroundPlusMinus float64    `json:"ground_plus_minus"`
	ResultPlusMinus float64    `json:"result_plus_minus"`
	Photo           string     `json:"photo,omitempty"` // hash, where both were read from one; "" else
}

// A PastChip is a coating's own colour, where nothing shows through.
type PastChip struct {
	Piece     string     `json:"piece"`
	At        time.Time  `json:"at"`
	Coating   string     `json:"coating"`
	Lab       colour.Lab `json:"lab"`
	PlusMinus float64    `json:"plus_minus"`
	Photo     string     `json:"photo,omitempty"`
}

// PastCoats are what coats of a coating came out as, on all pieces but one, the latest first. What
// has no reference tells of no colour but beside others of its photo: it is left out unless both
// colours are of one photo.
func (l *Log) PastCoats(ctx context.Context, c Coating, but string, limit int) ([]PastCoat, error) {
	const query = `SELECT coalesce(p.name, ''), e.at, k.name, b.name, x.coats, x.share, x.surface, x.on_piece,
			g.l, g.a, g.b, g.plus_minus, coalesce(g.sha256, ''), g.relative, g.stack,
			s.l, s.a, s.b, s.plus_minus, coalesce(s.sha256, ''), s.relative,
			coalesce((SELECT o.wood FROM entry oe JOIN area o ON o.entry = oe.id WHERE oe.piece = e.piece AND oe.area = e.area
				AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = oe.id) ORDER BY oe.id DESC LIMIT 1), '')
		FROM (SELECT entry, batch, coats, share, ground, result, surface, 0 AS on_piece FROM test_coat
			UNION ALL SELECT entry, batch, coats, share, ground, result, '', 1 FROM coats WHERE ground IS NOT NULL AND result IS NOT NULL) x
		JOIN entry e ON e.id = x.entry LEFT JOIN piece p ON p.id = e.piece
		JOIN batch b ON b.id = x.batch JOIN coating k ON k.id = b.coating
		JOIN reading g ON g.entry = x.ground JOIN reading s ON s.entry = x.result
		WHERE k.name = ? AND k.kind = ? AND k.put_on = ? AND (k.family = ? OR k.family = '' OR ? = '')
			AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces IN (e.id, x.ground, x.result))
			AND coalesce(p.name, '') <> ? COLLATE NOCASE
			AND (g.relative + s.relative = 0 OR g.sha256 = s.sha256)
		ORDER BY e.at DESC, e.id DESC LIMIT ?`
	all, err := collect(ctx, l, query, func(scan func(...any) error) (c PastCoat, err error) {
		var at, under, over, stack string
		var underRelative, overRelative int
		g, s := &c.Ground, &c.Result
		err = scan(&c.Piece, &at, &c.Coating, &c.Batch, &c.Coats, &c.Share, &c.Surface, &c.OnPiece,
			&g.L, &g.A, &g.B, &c.GroundPlusMinus, &under, &underRelative, &stack, &s.L, &s.A, &s.B, &c.ResultPlusMinus, &over, &overRelative, &c.Wood)
		c.At = parsed(at)
		if under == over {
			c.Photo = under
		}
		return c, err
	}, strings.TrimSpace(c.Name), c.Kind, c.PutOn, c.Family, c.Family, but, limit)
	return all, faultOf(l.path, err)
}

// PastChips are a coating's own colours as earlier pieces have them, the latest first.
func (l *Log) PastChips(ctx context.Context, c Coating, but string, limit int) ([]PastChip, error) {
	const query = `SELECT coalesce(p.name, ''), e.at, k.name, r.l, r.a, r.b, r.plus_minus, coalesce(r.sha256, '')
		FROM reading r JOIN entry e ON e.id = r.entry JOIN coating k ON k.id = r.coating LEFT JOIN piece p ON p.id = e.piece
		WHERE r.of = 'chip' AND k.name = ? AND k.kind = ? AND (k.family = ? OR k.family = '' OR ? = '') AND r.relative = 0
			AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = e.id) AND coalesce(p.name, '') <> ? COLLATE NOCASE
		ORDER BY e.at DESC, e.id DESC LIMIT ?`
	all, err := collect(ctx, l, query, func(scan func(...any) error) (c PastChip, err error) {
		var at string
		err = scan(&c.Piece, &at, &c.Coating, &c.Lab.L, &c.Lab.A, &c.Lab.B, &c.PlusMinus, &c.Photo)
		c.At = parsed(at)
		return c, err
	}, strings.TrimSpace(c.Name), c.Kind, c.Family, c.Family, but, limit)
	return all, faultOf(l.path, err)
}

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
	all, err := l.entries(ctx, `WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND e.area = ? AND r.of = 'area' AND x.id IS NULL ORDER BY e.at, e.id`, strings.TrimSpace(piece), area)
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

// sameName reports whether two names are one, in whatever case.
func sameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
