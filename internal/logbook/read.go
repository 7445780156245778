package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"
	"time"

	"huewright/colour"
)

// A querier is the database, or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// collect runs a query and reads each of its rows.
func collect[T any](
	ctx context.Context, from querier, query string, read func(scan func(...any) error) (T, error), args ...any,
) (all []T, err error) {
	rows, err := from.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		row, err := read(rows.Scan)
		if err != nil {
			return nil, err
		}
		all = append(all, row)
	}
	return all, rows.Err()
}

// value reads a row of one column.
func value[T any](scan func(...any) error) (v T, err error) {
	err = scan(&v)
	return v, err
}

// A Piece is a piece of furniture in the log.
type Piece struct {
	ID      int64
	Name    string
	About   string
	BegunAt time.Time
	LastAt  time.Time // of its latest entry; BegunAt where it has none
	Entries int
}

// Pieces are all pieces, the one that was last worked on first.
func (l *Log) Pieces(ctx context.Context) ([]Piece, error) {
	const query = `SELECT p.id, p.name, p.about, p.begun_at, coalesce(max(e.at), p.begun_at), count(e.id)
		FROM piece p LEFT JOIN entry e ON e.piece = p.id GROUP BY p.id ORDER BY 5 DESC, p.id`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (p Piece, err error) {
		var begun, last string
		err = scan(&p.ID, &p.Name, &p.About, &begun, &last, &p.Entries)
		p.BegunAt, p.LastAt = parsed(begun), parsed(last)
		return p, err
	})
	return all, faultOf(l.path, err)
}

// Piece is the piece of a name, in whatever case. Where there is none it is a fault.
func (l *Log) Piece(ctx context.Context, name string) (Piece, error) {
	all, err := collect(ctx, l.db, "SELECT id, name, about, begun_at FROM piece WHERE name = ?",
		func(scan func(...any) error) (p Piece, err error) {
			var begun string
			err = scan(&p.ID, &p.Name, &p.About, &begun)
			p.BegunAt = parsed(begun)
			return p, err
		}, strings.TrimSpace(name))
	if err != nil {
		return Piece{}, faultOf(l.path, err)
	}
	if len(all) == 0 {
		return Piece{}, noPiece(name)
	}
	return all[0], nil
}

func parsed(text string) time.Time {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return time.Time{} // the table's CHECK keeps this from happening
	}
	return t
}

// entryQuery reads entries with all their details.
var entryQuery = `SELECT e.id, e.at, e.noted_at, e.kind, coalesce(p.name, ''), e.area, coalesce(e.run, 0), e.note,
	coalesce(e.replaces, e.replaces_again, 0),
	coalesce(x.id, 0), coalesce(x.kind, ''),
	f.wood, f.cut, f.surface, f.sanding, f.wood_age, f.square_metres,
	coalesce(pi.sha256, rf.sha256, r.sha256),
	rf.by, rf.patches, rf.left_out, rf.left_out_95, rf.uneven,
	r.of, r.l, r.a, r.b, r.plus_minus, r.own, r.spread, r.pixels, r.relative, r.surface, r.stack, r.light_l, r.light_a,
		r.light_b, r.dark_l, r.dark_a, r.dark_b,
	k.name, k.kind, k.family, k.put_on, b.name,
	t.coats, t.share, t.ground, t.result, t.surface,
	c.coats, c.share, c.thinned_with, c.put_on, c.wiped_after, c.dried, c.temperature, c.humidity, c.ground, c.result,
	g.l, g.a, g.b, s.l, s.a, s.b,
	n.coats, n.low, n.high, n.stack, n.target_l, n.target_a, n.target_b, n.before, n.after,
	v.says, v.of100, v.delta_e
	FROM entry e
	LEFT JOIN piece p ON p.id = e.piece
	LEFT JOIN entry w ON w.replaces = e.id
	LEFT JOIN entry x ON x.id = ` + putRightBy("e.id", "w.id") + `
	LEFT JOIN area f ON f.entry = e.id
	LEFT JOIN picture pi ON pi.entry = e.id
	LEFT JOIN reference rf ON rf.entry = e.id
	LEFT JOIN reading r ON r.entry = e.id
	LEFT JOIN test_coat t ON t.entry = e.id
	LEFT JOIN coats c ON c.entry = e.id
	LEFT JOIN batch b ON b.id = coalesce(t.batch, c.batch)
	LEFT JOIN coating k ON k.id = coalesce(b.coating, r.coating)
	LEFT JOIN reading g ON g.entry = coalesce(c.ground, t.ground)
	LEFT JOIN reading s ON s.entry = coalesce(c.result, t.result)
	LEFT JOIN plan n ON n.entry = e.id
	LEFT JOIN verdict v ON v.entry = e.id
`

func (l *Log) entries(ctx context.Context, rest string, args ...any) ([]Entry, error) {
	all, err := collect(ctx, l.db, entryQuery+rest, readEntry, args...)
	return all, faultOf(l.path, err)
}

// Timeline is all that was written of a piece, in the order it happened, entries that were put right
// among them.
func (l *Log) Timeline(ctx context.Context, piece string) ([]Entry, error) {
	p, err := l.Piece(ctx, piece)
	if err != nil {
		return nil, err
	}
	return l.entries(ctx, "WHERE e.piece = ? ORDER BY e.at, e.id", p.ID)
}

// Entry is the entry of a number. Where there is none it is a fault.
func (l *Log) Entry(ctx context.Context, id int64) (Entry, error) {
	all, err := l.entries(ctx, "WHERE e.id = ?", id)
	if err != nil {
		return Entry{}, err
	}
	if len(all) == 0 {
		return Entry{}, noEntry(id)
	}
	return all[0], nil
}

// A lab is a colour that may not be there.
type lab struct{ l, a, b sql.NullFloat64 }

func (c *lab) colour() *colour.Lab {
	if !c.l.Valid {
		return nil
	}
	return &colour.Lab{L: c.l.Float64, A: c.a.Float64, B: c.b.Float64}
}

// readEntry reads a row of entryQuery.
//
// Note: longer than most: the columns stand here once, in the order of the query, each with its field.
func readEntry(scan func(...any) error) (e Entry, err error) {
	var (
		at, noted, kind, by                             string
		wood, cut, surface, sanding, age, hash, refBy   sql.NullString
		of, readSurface, stack                          sql.NullString
		name, coatingKind, family, putOn, batch         sql.NullString
		testSurface, thinned, laidBy, planStack, says   sql.NullString
		metres, left, left95, uneven, more, own, spread sql.NullFloat64
		testCoats, testShare, share                     sql.NullFloat64
		wiped, dried, temperature, humidity             *float64
		before, after, of100, deltaE                    sql.NullFloat64
		patches, pixels, relative, testGround, testRes  sql.NullInt64
		coats, ground, result, planCoats, low, high     sql.NullInt64
		read, light, dark, under, came, target          lab
	)
	err = scan(&e.ID, &at, &noted, &kind, &e.Piece, &e.Area, &e.Run, &e.Note, &e.Replaces,
		&e.ReplacedBy, &by,
		&wood, &cut, &surface, &sanding, &age, &metres,
		&hash,
		&refBy, &patches, &left, &left95, &uneven,
		&of, &read.l, &read.a, &read.b, &more, &own, &spread, &pixels, &relative, &readSurface, &stack, &light.l, &light.a, &light.b,
		&dark.l, &dark.a, &dark.b,
		&name, &coatingKind, &family, &putOn, &batch,
		&testCoats, &testShare, &testGround, &testRes, &testSurface,
		&coats, &share, &thinned, &laidBy, &wiped, &dried, &temperature, &humidity, &ground, &result,
		&under.l, &under.a, &under.b, &came.l, &came.a, &came.b,
		&planCoats, &low, &high, &planStack, &target.l, &target.a, &target.b, &before, &after,
		&says, &of100, &deltaE)
	if err != nil {
		return e, err
	}
	e.At, e.NotedAt, e.Kind, e.Withdrawn = parsed(at), parsed(noted), Kind(kind), by == string(KindWithdrawal)
	coating := Coating{name.String, coatingKind.String, family.String, putOn.String, batch.String}
	switch e.Kind {
	case kindArea:
		e.Facts = &AreaFacts{Wood: wood.String, Cut: cut.String, Surface: surface.String, Sanding: sanding.String,
			WoodAge: age.String, SquareMetres: metres.Float64}
	case kindPicture:
		e.Picture = &Picture{hash.String}
	case kindReference:
		e.Reference = &Reference{hash.String, refBy.String, int(patches.Int64), left.Float64, left95.Float64, uneven.Float64}
	case kindReading:
		if read.colour() == nil {
			return e, nil // its detail is gone, as Verify reports
		}
		r := &Reading{Of: of.String, Lab: *read.colour(), PlusMinus: more.Float64, Own: own.Float64, Spread: spread.Float64,
			Pixels: int(pixels.Int64),
			SHA256: hash.String, Relative: relative.Int64 == 1, Surface: readSurface.String, Light: light.colour(), Dark: dark.colour()}
		if name.Valid {
			r.Coating = &coating
		}
		e.Reading, err = r, json.Unmarshal([]byte(stack.String), &r.Stack)
	case kindTestCoat:
		e.TestCoat = &TestCoat{coating, testCoats.Float64, testShare.Float64, testGround.Int64, testRes.Int64, testSurface.String}
	case kindCoats:
		e.Coats = &Coats{Coating: coating, Coats: int(coats.Int64), Share: share.Float64, ThinnedWith: thinned.String, LaidBy: laidBy.String,
			WipedAfter: wiped, Dried: dried, Temperature: temperature, Humidity: humidity,
			Ground: ground.Int64, Result: result.Int64, GroundColour: under.colour(), ResultColour: came.colour()}
	case kindPlan:
		if !planStack.Valid {
			return e, nil
		}
		p := &Plan{Coats: int(planCoats.Int64), Low: int(low.Int64), High: int(high.Int64), Target: target.colour(),
			Before: before.Float64, After: after.Float64}
		e.Plan, err = p, json.Unmarshal([]byte(planStack.String), &p.Stack)
	case kindCheck:
		e.Check = &Check{says.String, of100.Float64, deltaE.Float64}
	}
	return e, err
}

// Standing are the entries of a piece that stand, the earliest first, as they are within this
// writing.
func (w *Writer) Standing(piece string) ([]Entry, error) {
	const standing = "WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND x.id IS NULL AND e.kind <> 'withdrawal' ORDER BY e.at, e.id"
	return collect(w.ctx, w.tx, entryQuery+standing, readEntry, strings.TrimSpace(piece))
}
