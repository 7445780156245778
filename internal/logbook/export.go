package logbook

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"io"
)

// exportVersion is raised when a line of an export changes its meaning.
const exportVersion = 2 // since 2 with drafts

// Columns of each table in an export, in the order they are written. Numbers of rows are the
// log's own and stay at home: rows are named by their uid, and so are those they refer to.
var exported = []exportTable{
	{"piece", "SELECT uid, name, begun_at, about FROM piece ORDER BY id", nil},
	{"photo", "SELECT sha256, kept_at, name, bytes, taken_at, camera FROM photo ORDER BY kept_at, sha256", nil},
	{"coating", "SELECT uid, name, kind, family, put_on FROM coating ORDER BY id", nil},
	{"batch", "SELECT t.uid, c.uid AS coating, t.name FROM batch t JOIN coating c ON c.id = t.coating ORDER BY t.id",
		map[string]string{"coating": "coating"}},
	{"run", "SELECT uid, what, program, request, result FROM run ORDER BY id", nil},
	{"run_photo", "SELECT r.uid AS run, t.path, t.sha256 FROM run_photo t JOIN run r ON r.id = t.run ORDER BY t.run, t.path",
		map[string]string{"run": "run"}},
	{"entry", `SELECT t.uid, t.at, t.noted_at, t.kind, p.uid AS piece, t.area, r.uid AS run, t.note, o.uid AS replaces, n.uid AS replaces_again
		FROM entry t LEFT JOIN piece p ON p.id = t.piece LEFT JOIN run r ON r.id = t.run LEFT JOIN entry o ON o.id = t.replaces
			LEFT JOIN entry n ON n.id = t.replaces_again ORDER BY t.id`,
		map[string]string{"piece": "piece", "run": "run", "replaces": "entry", "replaces_again": "entry"}},
	{"area", "SELECT e.uid AS entry, t.wood, t.cut, t.surface, t.sanding, t.wood_age, t.square_metres FROM area t JOIN " +
		"entry e ON e.id = t.entry ORDER BY t.entry", ofEntry},
	{"picture", "SELECT e.uid AS entry, t.sha256 FROM picture t JOIN entry e ON e.id = t.entry ORDER BY t.entry", ofEntry},
	{"reference", "SELECT e.uid AS entry, t.sha256, t.by, t.patches, t.left_out, t.left_out_95, t.uneven FROM reference t " +
		"JOIN entry e ON e.id = t.entry ORDER BY t.entry", ofEntry},
	{"reading", `SELECT e.uid AS entry, t.of, t.l, t.a, t.b, t.plus_minus, t.own, t.spread, t.pixels, t.sha256, t.relative,
		t.surface, t.stack, c.uid AS coating,
		t.light_l, t.light_a, t.light_b, t.dark_l, t.dark_a, t.dark_b
		FROM reading t JOIN entry e ON e.id = t.entry LEFT JOIN coating c ON c.id = t.coating
			ORDER BY t.entry`, map[string]string{"entry": "entry", "coating": "coating"}},
	{"test_coat", `SELECT e.uid AS entry, b.uid AS batch, t.coats, t.share, g.uid AS ground, s.uid AS result, t.surface
		FROM test_coat t JOIN entry e ON e.id = t.entry JOIN batch b ON b.id = t.batch JOIN entry g ON g.id = t.ground
			JOIN entry s ON s.id = t.result ORDER BY t.entry`, ofCoats},
	{"coats", `SELECT e.uid AS entry, b.uid AS batch, t.coats, t.share, t.thinned_with, t.put_on, t.wiped_after, t.dried,
		t.temperature, t.humidity, g.uid AS ground, s.uid AS result
		FROM coats t JOIN entry e ON e.id = t.entry JOIN batch b ON b.id = t.batch LEFT JOIN entry g ON g.id = t.ground
			LEFT JOIN entry s ON s.id = t.result ORDER BY t.entry`, ofCoats},
	{"plan", "SELECT e.uid AS entry, t.coats, t.low, t.high, t.stack, t.target_l, t.target_a, t.target_b, t.before, " +
		"t.after FROM plan t JOIN entry e ON e.id = t.entry ORDER BY t.entry", ofEntry},
	{"foreseen", `SELECT e.uid AS entry, c.uid AS coating, t.laid, t.stack, t.l, t.a, t.b, t.plus_minus, t.step_l, t.step_a, t.step_b
		FROM foreseen t JOIN entry e ON e.id = t.entry JOIN coating c ON c.id = t.coating
			ORDER BY t.id`, map[string]string{"entry": "entry", "coating": "coating"}},
	{"verdict", "SELECT e.uid AS entry, t.says, t.of100, t.delta_e FROM verdict t JOIN entry e ON e.id = t.entry ORDER BY t.entry", ofEntry},
}

// An exportTable is one table: what is written of it, and which columns name rows of which others.
type exportTable struct {
	name, query string
	refer       map[string]string
}

var (
	ofEntry = map[string]string{"entry": "entry"}
	ofCoats = map[string]string{"entry": "entry", "batch": "batch", "ground": "entry", "result": "entry"}
)

// asJSON are the columns that hold JSON of their own: they are written as such, not as text.
var asJSON = map[string]bool{"request": true, "result": true, "stack": true}

type header struct {
	Log     int `json:"huewright_log"` // version of the export
	Version int `json:"schema"`        // of the log it was written from
}

// Export writes all rows of the log, a JSON object to a line, in an order in which each line names
// only earlier ones, but for drafts, which come first. Importing that into an empty log and exporting again gives the same bytes.
// Photos are not in it but by their hash; a Backup has them.
func (l *Log) Export(ctx context.Context, to io.Writer) error {
	out := bufio.NewWriterSize(to, 1<<16)
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(header{exportVersion, len(l.opt.steps)}); err != nil {
		return err
	}
	// Drafts before the tables: photos are in the tables before a draft names them.
	if err := l.drafts(ctx, func(s draftStep) error { return s.write(out) }); err != nil {
		return faultOf(l.path, err)
	}
	tx, err := l.db.BeginTx(ctx, snapshot)
	if err != nil {
		return faultOf(l.path, err)
	}
	defer func() { _ = tx.Rollback() }()
	for _, t := range exported {
		rows, err := tx.QueryContext(ctx, t.query)
		if err != nil {
			return faultOf(l.path, err)
		}
		if err := t.write(rows, out); err != nil {
			_ = rows.Close()
			return faultOf(l.path, err)
		}
		if err := rows.Close(); err != nil {
			return faultOf(l.path, err)
		}
	}
	return out.Flush()
}

// write writes the rows of a table.
func (t *exportTable) write(rows rowsOf, out *bufio.Writer) error {
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	values, places := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		places[i] = &values[i]
	}
	var line bytes.Buffer
	for rows.Next() {
		if err := rows.Scan(places...); err != nil {
			return err
		}
		line.Reset()
		line.WriteString(`{"is":"` + t.name + `"`)
		for i, v := range values {
			if v == nil {
				continue
			}
			text, err := exportValue(t, columns[i], v)
			if err != nil {
				return err
			}
			line.WriteString(`,"` + columns[i] + `":`)
			line.Write(text)
		}
		line.WriteString("}\n")
		if _, err := out.Write(line.Bytes()); err != nil {
			return err
		}
	}
	return rows.Err()
}

func exportValue(t *exportTable, column string, v any) ([]byte, error) {
	switch v := v.(type) {
	case []byte:
		return []byte(`"` + hex.EncodeToString(v) + `"`), nil
	case string:
		if asJSON[column] && t.refer[column] == "" {
			return []byte(v), nil // Run and Stack write it without a line break
		}
		var text bytes.Buffer
		enc := json.NewEncoder(&text)
		enc.SetEscapeHTML(false)
		err := enc.Encode(v)
		return bytes.TrimSuffix(text.Bytes(), []byte("\n")), err
	}
	return json.Marshal(v)
}

// snapshot begins a transaction that reads the log as it is at one moment.
var snapshot = &sql.TxOptions{ReadOnly: true}

// rowsOf is what is read of *sql.Rows.
type rowsOf interface {
	Columns() ([]string, error)
	Next() bool
	Scan(...any) error
	Err() error
}
