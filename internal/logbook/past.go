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
	query := `SELECT coalesce(p.name, ''), e.at, k.name, b.name, x.coats, x.share, x.surface, x.on_piece,
			g.l, g.a, g.b, g.plus_minus, coalesce(g.sha256, ''), g.relative, g.stack,
			s.l, s.a, s.b, s.plus_minus, coalesce(s.sha256, ''), s.relative,
			coalesce((SELECT o.wood FROM entry oe JOIN area o ON o.entry = oe.id WHERE oe.piece = e.piece AND oe.area = e.area
				AND ` + standing("oe.id") + ` ORDER BY oe.id DESC LIMIT 1), '')
		FROM (SELECT entry, batch, coats, share, ground, result, surface, 0 AS on_piece FROM test_coat
			UNION ALL SELECT entry, batch, coats, share, ground, result, '', 1 FROM coats WHERE ground IS NOT NULL AND result IS NOT NULL) x
		JOIN entry e ON e.id = x.entry LEFT JOIN piece p ON p.id = e.piece
		JOIN batch b ON b.id = x.batch JOIN coating k ON k.id = b.coating
		JOIN reading g ON g.entry = x.ground JOIN reading s ON s.entry = x.result
		WHERE k.name = ? AND k.kind = ? AND k.put_on = ? AND (k.family = ? OR k.family = '' OR ? = '')
			AND ` + standing("e.id") + ` AND ` + standing("x.ground") + ` AND ` + standing("x.result") + `
			AND coalesce(p.name, '') <> ? COLLATE NOCASE
			AND (g.relative + s.relative = 0 OR g.sha256 = s.sha256)
		ORDER BY e.at DESC, e.id DESC LIMIT ?`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (c PastCoat, err error) {
		var at, under, over, stack string
		var underRelative, overRelative int
		g, s := &c.Ground, &c.Result
		err = scan(&c.Piece, &at, &c.Coating, &c.Batch, &c.Coats, &c.Share, &c.Surface, &c.OnPiece,
			&g.L, &g.A, &g.B, &c.GroundPlusMinus, &under, &underRelative, &stack, &s.L, &s.A, &s.B, &c.ResultPlusMinus, &over,
			&overRelative, &c.Wood)
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
	query := `SELECT coalesce(p.name, ''), e.at, k.name, r.l, r.a, r.b, r.plus_minus, coalesce(r.sha256, '')
		FROM reading r JOIN entry e ON e.id = r.entry JOIN coating k ON k.id = r.coating LEFT JOIN piece p ON p.id = e.piece
		WHERE r.of = 'chip' AND k.name = ? AND k.kind = ? AND (k.family = ? OR k.family = '' OR ? = '') AND r.relative = 0
			AND ` + standing("e.id") + ` AND coalesce(p.name, '') <> ? COLLATE NOCASE
		ORDER BY e.at DESC, e.id DESC LIMIT ?`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (c PastChip, err error) {
		var at string
		err = scan(&c.Piece, &at, &c.Coating, &c.Lab.L, &c.Lab.A, &c.Lab.B, &c.PlusMinus, &c.Photo)
		c.At = parsed(at)
		return c, err
	}, strings.TrimSpace(c.Name), c.Kind, c.Family, c.Family, but, limit)
	return all, faultOf(l.path, err)
}

// sameName reports whether two names are one, in whatever case.
func sameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// A KnownCoating is a coating as the log knows it.
type KnownCoating struct {
	Coating
	Chip    *colour.Lab // its own colour as last read; nil not read
	Share   float64     // of it in the mix when it was last laid, 0–1; 0 never
	Results int         // test coats and coats on pieces whose outcome was measured
	Pieces  int         // that it was used on
	Last    time.Time   // it was used; zero never
}

// Coatings are all coatings that stand in the log, the last used first.
func (l *Log) Coatings(ctx context.Context) ([]KnownCoating, error) {
	query := `SELECT k.name, k.kind, k.family, k.put_on,
			(SELECT count(*) FROM batch b JOIN test_coat t ON t.batch = b.id
				WHERE b.coating = k.id AND ` + standing("t.entry") + `)
			+ (SELECT count(*) FROM batch b JOIN coats c ON c.batch = b.id
				WHERE b.coating = k.id AND c.result IS NOT NULL AND ` + standing("c.entry") + `),
			(SELECT count(DISTINCT e.piece) FROM entry e WHERE e.id IN (
				SELECT t.entry FROM test_coat t JOIN batch b ON b.id = t.batch WHERE b.coating = k.id
				UNION SELECT c.entry FROM coats c JOIN batch b ON b.id = c.batch WHERE b.coating = k.id
				UNION SELECT r.entry FROM reading r WHERE r.coating = k.id)),
			coalesce((SELECT max(e.at) FROM entry e WHERE e.id IN (
				SELECT t.entry FROM test_coat t JOIN batch b ON b.id = t.batch WHERE b.coating = k.id
				UNION SELECT c.entry FROM coats c JOIN batch b ON b.id = c.batch WHERE b.coating = k.id
				UNION SELECT r.entry FROM reading r WHERE r.coating = k.id)), ''),
			coalesce((SELECT share FROM (
				SELECT t.entry, t.share FROM test_coat t JOIN batch b ON b.id = t.batch WHERE b.coating = k.id
				UNION ALL SELECT c.entry, c.share FROM coats c JOIN batch b ON b.id = c.batch WHERE b.coating = k.id)
				ORDER BY entry DESC LIMIT 1), 0),
			h.l, h.a, h.b
		FROM coating k LEFT JOIN reading h ON h.entry = (
			SELECT max(r.entry) FROM reading r
			WHERE r.coating = k.id AND r.of = 'chip' AND ` + standing("r.entry") + `)
		ORDER BY 7 DESC, k.name`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (k KnownCoating, err error) {
		var chip lab
		var last string
		err = scan(&k.Name, &k.Kind, &k.Family, &k.PutOn, &k.Results, &k.Pieces, &last, &k.Share, &chip.l, &chip.a, &chip.b)
		k.Chip, k.Last = chip.colour(), parsed(last)
		return k, err
	})
	return all, faultOf(l.path, err)
}
