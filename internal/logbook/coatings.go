package logbook

import (
	"context"
	"time"

	"huewright/colour"
)

// A KnownCoating is a coating as the log knows it.
type KnownCoating struct {
	Coating
	Chip    *colour.Lab // its own colour as last read; nil not read
	Results int         // test coats and coats on pieces whose outcome was measured
	Pieces  int         // that it was used on
	Last    time.Time   // it was used; zero never
}

// Coatings are all coatings that stand in the log, the last used first.
func (l *Log) Coatings(ctx context.Context) ([]KnownCoating, error) {
	const query = `SELECT k.name, k.kind, k.family, k.put_on,
			(SELECT count(*) FROM batch b JOIN test_coat t ON t.batch = b.id WHERE b.coating = k.id AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = t.entry))
			+ (SELECT count(*) FROM batch b JOIN coats c ON c.batch = b.id WHERE b.coating = k.id AND c.result IS NOT NULL AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = c.entry)),
			(SELECT count(DISTINCT e.piece) FROM entry e WHERE e.id IN (SELECT t.entry FROM test_coat t JOIN batch b ON b.id = t.batch WHERE b.coating = k.id
				UNION SELECT c.entry FROM coats c JOIN batch b ON b.id = c.batch WHERE b.coating = k.id UNION SELECT r.entry FROM reading r WHERE r.coating = k.id)),
			coalesce((SELECT max(e.at) FROM entry e WHERE e.id IN (SELECT t.entry FROM test_coat t JOIN batch b ON b.id = t.batch WHERE b.coating = k.id
				UNION SELECT c.entry FROM coats c JOIN batch b ON b.id = c.batch WHERE b.coating = k.id UNION SELECT r.entry FROM reading r WHERE r.coating = k.id)), ''),
			h.l, h.a, h.b
		FROM coating k LEFT JOIN reading h ON h.entry = (SELECT max(r.entry) FROM reading r WHERE r.coating = k.id AND r.of = 'chip' AND NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = r.entry))
		ORDER BY 7 DESC, k.name`
	all, err := collect(ctx, l, query, func(scan func(...any) error) (k KnownCoating, err error) {
		var chip lab
		var last string
		err = scan(&k.Name, &k.Kind, &k.Family, &k.PutOn, &k.Results, &k.Pieces, &last, &chip.l, &chip.a, &chip.b)
		k.Chip, k.Last = chip.colour(), parsed(last)
		return k, err
	})
	return all, faultOf(l.path, err)
}
