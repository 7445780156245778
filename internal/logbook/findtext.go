package logbook

import (
	"context"
	"slices"
	"strings"
	"unicode/utf8"
)

// shortest is how many letters a text must have to be looked up in the index of notes.
const shortest = 3

// textEntries lists the entries with a text in what a person reads of them, some perhaps twice. Of names there are few beside the
// entries that have them: of those of areas and stacks, which each entry repeats, the index is asked for one after another.
// CROSS JOIN keeps the order of the tables as it stands.
const textEntries = `
	SELECT d.id FROM entry d WHERE d.note LIKE ? ESCAPE '\' AND d.id IN (NOTED)
	UNION ALL SELECT d.id FROM entry d WHERE d.area <> '' AND d.area IN (
		WITH RECURSIVE name(word) AS (SELECT min(area) FROM entry WHERE area <> ''
			UNION ALL SELECT (SELECT min(area) FROM entry WHERE area <> '' AND area > word) FROM name WHERE word IS NOT NULL)
		SELECT word FROM name WHERE word LIKE ? ESCAPE '\')
	UNION ALL SELECT d.id FROM piece q CROSS JOIN entry d ON d.piece = q.id WHERE q.name LIKE ? ESCAPE '\'
	UNION ALL SELECT d.entry FROM coating q CROSS JOIN batch h ON h.coating = q.id CROSS JOIN test_coat d ON d.batch = h.id
		WHERE q.name LIKE ? ESCAPE '\'
	UNION ALL SELECT d.entry FROM coating q CROSS JOIN batch h ON h.coating = q.id CROSS JOIN coats d ON d.batch = h.id
		WHERE q.name LIKE ? ESCAPE '\'
	UNION ALL SELECT d.entry FROM coating q CROSS JOIN reading d ON d.coating = q.id WHERE q.name LIKE ? ESCAPE '\'
	UNION ALL SELECT d.entry FROM area d WHERE d.wood LIKE ? ESCAPE '\'
	UNION ALL SELECT d.entry FROM reading d WHERE d.stack <> '[]' AND d.stack IN (
		WITH RECURSIVE name(word) AS (SELECT min(stack) FROM reading WHERE stack <> '[]'
			UNION ALL SELECT (SELECT min(stack) FROM reading WHERE stack <> '[]' AND stack > word) FROM name WHERE word IS NOT NULL)
		SELECT word FROM name WHERE word LIKE ? ESCAPE '\')`

// withTextOf is textEntries for a text, with its arguments.
func withTextOf(text string) (query string, args []any) {
	noted := "SELECT id FROM note_text_docsize"
	args = []any{containing(text)}
	if parts := trigrams(text); parts != "" {
		noted = "SELECT rowid FROM note_text WHERE note_text MATCH ?"
		args = append(args, parts)
	}
	query = strings.Replace(textEntries, "NOTED", noted, 1)
	for len(args) < strings.Count(query, "?") {
		args = append(args, containing(text))
	}
	return query, args
}

// trigrams asks the index of notes for all that have each three letters in a row of a text, among them all that have the text; "" where it
// cannot tell.
//
// Source: SQLite, FTS5 Extension, sections 3.1 and 4.3.4.
func trigrams(text string) string {
	letters := []rune(text)
	if len(letters) < shortest || !utf8.ValidString(text) || slices.Contains(letters, 0) {
		return ""
	}
	var all []string
	for i := range len(letters) - shortest + 1 {
		part := `"` + strings.ReplaceAll(string(letters[i:i+shortest]), `"`, `""`) + `"`
		if !slices.Contains(all, part) {
			all = append(all, part)
		}
	}
	return strings.Join(all, " AND ")
}

// common is from how many entries on a text is common: the latest that have it are then found sooner by looking at one entry after another,
// from the latest back. Our own choice.
const common = 20_000

// whereLatest is where, and an order from the latest back. A text is looked up before, unless it is common.
func (l *Log) whereLatest(ctx context.Context, q *Query) (string, []any, error) {
	const oneByOne = " ORDER BY e.at DESC, e.id DESC"
	// What stands behind a + is sorted, and not gone through by an index.
	const ofFew = " ORDER BY +e.at DESC, +e.id DESC"
	if q.Text == "" {
		where, args := q.where()
		return where + oneByOne, args, nil
	}
	query, values := withTextOf(q.Text)
	n, err := collect(ctx, l.db, "SELECT count(*) FROM (SELECT 1 FROM ("+query+") LIMIT ?)", value[int],
		append(slices.Clone(values), common)...)
	if err != nil {
		return "", nil, err
	}
	if n[0] == common {
		where, args := q.where()
		return where + oneByOne, args, nil
	}
	rest := *q
	rest.Text = ""
	where, args := rest.where()
	return "e.id IN (" + query + ") AND " + where + ofFew, append(values, args...), nil
}
