package logbook

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"huewright/colour"
)

// A Query says which entries are looked for. All that is given has to hold. Its zero value finds
// the latest entries.
type Query struct {
	Near   *colour.Lab // readings within Within of it, the nearest first; nil finds other entries too, the latest first
	Within float64     // ΔE00; 0 means 3

	Text    string // in a note, or the name of a piece, an area, a wood or a coating, in whatever case
	Piece   string
	Area    string
	Wood    string
	Coating string
	Of      string // readings of it: one of ReadingsOf
	Kind    Kind
	Since   time.Time // zero is from the beginning
	Until   time.Time // zero is to the end

	Limit int // 0 means 50
}

// A Found is an entry that was looked for.
type Found struct {
	Entry
	DeltaE float64 // of its reading to Near; 0 where none was given
}

// usualWithin is how near is near where nothing is said, in ΔE00.
const usualWithin = 3.0

// mostWithin is how far near may be, in ΔE00: beyond it boxes hold no bound.
const mostWithin = 40

// Find finds entries that stand: what was put right or withdrawn is left out.
func (l *Log) Find(ctx context.Context, q Query) ([]Found, error) {
	if q.Limit == 0 {
		q.Limit = 50
	}
	if q.Within == 0 {
		q.Within = usualWithin
	}
	if q.Near != nil && !q.Near.IsFinite() {
		return nil, wrong("logbook.near")
	}
	if !(q.Within > 0 && q.Within <= mostWithin) {
		return nil, wrong("logbook.within", "within", q.Within, "most", mostWithin)
	}
	if q.Near != nil {
		return l.near(ctx, &q)
	}
	where, args, err := l.whereLatest(ctx, &q)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	entries, err := l.entries(ctx, "WHERE "+where+" LIMIT ?", append(args, q.Limit)...)
	var all []Found
	for _, e := range entries {
		all = append(all, Found{Entry: e})
	}
	return all, err
}

// where is what has to hold of entries, in the names of entryQuery.
func (q *Query) where() (string, []any) {
	conditions := []string{"x.id IS NULL", "e.kind <> 'withdrawal'"}
	var args []any
	hold := func(condition string, values ...any) {
		conditions, args = append(conditions, condition), append(args, values...)
	}
	madeOf := `EXISTS (SELECT 1 FROM entry oe JOIN area o ON o.entry = oe.id
		WHERE oe.piece = e.piece AND oe.area = e.area AND o.wood LIKE ? ESCAPE '\' AND ` + standing("oe.id") + `)`
	if q.Text != "" {
		like := containing(q.Text)
		hold(withText, like, like, like, like, like, like)
	}
	if q.Piece != "" {
		hold("e.piece = (SELECT id FROM piece WHERE name = ?)", strings.TrimSpace(q.Piece))
	}
	if q.Area != "" {
		hold("e.area = ?", q.Area)
	}
	if q.Wood != "" {
		hold(madeOf, containing(q.Wood))
	}
	if q.Coating != "" {
		hold(`(k.name LIKE ? ESCAPE '\' OR r.stack LIKE ? ESCAPE '\')`, containing(q.Coating), containing(q.Coating))
	}
	if q.Of != "" {
		hold("r.of = ?", q.Of)
	}
	if q.Kind != "" {
		hold("e.kind = ?", string(q.Kind))
	}
	if !q.Since.IsZero() {
		hold("e.at >= ?", stamped(q.Since))
	}
	if !q.Until.IsZero() {
		hold("e.at <= ?", stamped(q.Until))
	}
	return strings.Join(conditions, " AND "), args
}

// withText holds of entries with a text in what a person reads of them, one by one.
const withText = `(e.note LIKE ? ESCAPE '\' OR e.area LIKE ? ESCAPE '\' OR p.name LIKE ? ESCAPE '\'
	OR k.name LIKE ? ESCAPE '\' OR f.wood LIKE ? ESCAPE '\' OR r.stack LIKE ? ESCAPE '\')`

// containing is a pattern for texts with another in them.
func containing(text string) string {
	return "%" + strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`).Replace(text) + "%"
}

// A candidate is a reading that may be near, by the index's 32-bit figures.
type candidate struct {
	entry  int64
	deltaE float64
}

// near finds readings by colour. It asks the index for boxes that grow until enough is found: of
// the many readings within the whole distance, few are looked at.
func (l *Log) near(ctx context.Context, q *Query) ([]Found, error) {
	where, args := q.where()
	var all []Found
	looked := 0.0
	for within := min(q.Within, firstWithin); ; within = min(q.Within, 2*within) {
		candidates, err := l.candidates(ctx, *q.Near, looked, within)
		if err != nil {
			return nil, faultOf(l.path, err)
		}
		for chunk := range slices.Chunk(candidates, 200) {
			found, err := l.exactly(ctx, q, chunk, where, args)
			if err != nil {
				return nil, err
			}
			all = append(all, found...)
			if len(all) >= q.Limit+boundary {
				break
			}
		}
		if looked = within; within == q.Within || len(all) >= q.Limit+boundary {
			break
		}
	}
	slices.SortStableFunc(all, func(a, b Found) int {
		return cmp.Or(cmp.Compare(a.DeltaE, b.DeltaE), cmp.Compare(a.ID, b.ID))
	})
	return all[:min(len(all), q.Limit)], nil
}

const (
	firstWithin = 0.25 // ΔE00, of the first box
	inexact     = 1e-3 // ΔE00 by which the index's figures may mislead
	boundary    = 8    // more than asked for, so that inexact order leaves none out
)

// candidates are readings further away than from and not further than to, the nearest first.
func (l *Log) candidates(ctx context.Context, near colour.Lab, from, to float64) (all []candidate, err error) {
	b := boxAround(near, to)
	wideL, wideAB := (b.High.L-b.Low.L)/2, (b.High.A-b.Low.A)/2
	err = l.readingsIn(ctx, b, func(entry int64, c colour.Lab) {
		// Half of the box lies outside the ellipsoid in it, which the bounds of boxAround hold for too.
		l, a, b := (c.L-near.L)/wideL, (c.A-near.A)/wideAB, (c.B-near.B)/wideAB
		if l*l+a*a+b*b > 1 {
			return
		}
		if d := colour.DeltaE2000(near, c); d <= to+inexact && (d > from+inexact || from == 0) {
			all = append(all, candidate{entry, d})
		}
	})
	slices.SortFunc(all, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.deltaE, b.deltaE), cmp.Compare(a.entry, b.entry))
	})
	return all, err
}

// exactly keeps of candidates those that all holds of.
func (l *Log) exactly(ctx context.Context, q *Query, some []candidate, where string, args []any) ([]Found, error) {
	if len(some) == 0 {
		return nil, nil
	}
	marks := strings.Repeat(", ?", len(some))[2:]
	ids := make([]any, len(some))
	for i := range some {
		ids[i] = some[i].entry
	}
	entries, err := l.entries(ctx, "WHERE e.id IN ("+marks+") AND "+where, append(ids, args...)...)
	if err != nil {
		return nil, err
	}
	var all []Found
	for _, e := range entries {
		if d := colour.DeltaE2000(*q.Near, e.Reading.Lab); d <= q.Within {
			all = append(all, Found{e, d})
		}
	}
	return all, nil
}
