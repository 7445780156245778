package logbook

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// snapshot opens a look at the log as it is at one moment.
var snapshot = &sql.TxOptions{ReadOnly: true}

// rowsOf is what is read of *sql.Rows.
type rowsOf interface {
	Columns() ([]string, error)
	Next() bool
	Scan(...any) error
	Err() error
}

// Imported says what came of an import.
type Imported struct {
	Rows    int      // that were new
	Known   int      // that were there already
	Renamed []string // pieces that had the name of another; each a sentence
	Photos  []string // hashes of photos that are named and not there
}

// mostLine is how long a line of an export may be, in bytes.
const mostLine = 64 << 20

// Import takes in what Export has written: all of it, or where any of it makes no sense, nothing.
// Rows that are there already are left as they are. A piece whose name another one here has gets
// a number behind it.
//
// It returns a *Fault of kind Wrong, with the line, for what Export would not have written.
func (l *Log) Import(ctx context.Context, from io.Reader) (Imported, error) {
	in := &importer{of: map[string]map[string]int64{}}
	err := l.Write(ctx, func(w *Writer) error {
		in.Writer = w
		lines := bufio.NewScanner(from)
		lines.Buffer(make([]byte, 1<<16), mostLine)
		for in.line = 1; lines.Scan(); in.line++ {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := in.take(lines.Bytes()); err != nil {
				return in.fault(err)
			}
		}
		if errors.Is(lines.Err(), bufio.ErrTooLong) {
			return in.fault(fmt.Errorf("the line is longer than %d bytes", mostLine))
		}
		if lines.Err() == nil && in.line == 1 {
			return in.fault(errors.New("there is nothing in it"))
		}
		if err := lines.Err(); err != nil {
			return err
		}
		bare, err := w.find(withoutDetail)
		if err == nil && bare != 0 {
			err = in.fault(fmt.Errorf("%d entries say what kind they are and not the rest: the export is not whole", bare))
		}
		return err
	})
	if err != nil {
		return Imported{}, err
	}
	hashes, err := l.hashes(ctx)
	if err != nil {
		return in.done, faultOf(l.path, err)
	}
	for _, hash := range hashes {
		if _, err := l.Photo(hash); err != nil {
			in.done.Photos = append(in.done.Photos, hash)
		}
	}
	return in.done, nil
}

type importer struct {
	*Writer
	line    int
	done    Imported
	columns map[string]map[string]bool
	of      map[string]map[string]int64 // numbers of the rows of a table, by uid
}

func (in *importer) fault(err error) error {
	if fault := (*Fault)(nil); errors.As(err, &fault) {
		return err
	}
	switch fault := faultOf("", err).(*Fault); fault.Kind {
	case full, notWritable, busy, Damaged, noPlace:
		return fault
	}
	return &Fault{Kind: Wrong, Problem: fmt.Sprintf("line %d: %v", in.line, err), Advice: "an export is what huewright log export wrote, unchanged; nothing of this one was taken in", Err: err}
}

func (in *importer) take(line []byte) error {
	if in.line == 1 {
		var h header
		if err := json.Unmarshal(line, &h); err != nil || h.Log == 0 {
			return errors.New("this is no export of a log")
		}
		if h.Log > exportVersion || h.Version > len(in.log.opt.steps) {
			return &Fault{Kind: newer, Problem: "the export was written by a newer huewright", Advice: "use that one, or a newer one, to import it"}
		}
		return nil
	}
	var row map[string]json.RawMessage
	if err := json.Unmarshal(line, &row); err != nil {
		return err
	}
	var is string
	if err := json.Unmarshal(row["is"], &is); err != nil {
		return errors.New("the line does not say what it is")
	}
	delete(row, "is")
	for i := range exported {
		if exported[i].name == is {
			return in.row(&exported[i], row)
		}
	}
	return fmt.Errorf("there is nothing called %q in a log", is)
}

// row takes in one row.
func (in *importer) row(t *exportTable, row map[string]json.RawMessage) error {
	uid, named, err := uidOf(row["uid"])
	if err != nil {
		return err
	}
	if named {
		known, err := in.number(t.name, uid)
		if err != nil {
			return err
		}
		if known != 0 {
			in.done.Known++
			return nil
		}
	}
	columns := slices.Sorted(maps.Keys(row))
	values := make([]any, len(columns))
	for i, c := range columns {
		if !in.column(t.name, c) {
			return fmt.Errorf("%s has no %q", t.name, c)
		}
		if values[i], err = in.value(t, c, row[c]); err != nil {
			return fmt.Errorf("%s: %w", c, err)
		}
	}
	switch t.name {
	case "piece":
		if err := in.rename(columns, values); err != nil {
			return err
		}
	case "coating", "batch":
		if same, err := in.same(t.name, columns, values); err != nil || same != 0 {
			in.remember(t.name, uid, same)
			in.done.Known++
			return err
		}
	case "photo", "run_photo", "area", "picture", "reference", "reading", "test_coat", "coats", "plan", "verdict":
		if there, err := in.there(t.name, columns, values); err != nil || there {
			in.done.Known++
			return err
		}
	case "foreseen":
		if there, err := in.thereBefore(columns, values); err != nil || there {
			in.done.Known++
			return err
		}
	}
	marks := strings.Repeat(", ?", len(columns))[2:]
	id, err := in.insert("INSERT INTO "+t.name+" ("+strings.Join(columns, ", ")+") VALUES ("+marks+")", values...)
	if err != nil {
		return err
	}
	in.done.Rows++
	if named {
		in.remember(t.name, uid, id)
	}
	switch t.name {
	case "reading":
		at := func(name string) any { return values[slices.Index(columns, name)] }
		for _, c := range []string{"entry", "l", "a", "b"} {
			if !slices.Contains(columns, c) {
				return fmt.Errorf("the reading has no %s", c)
			}
		}
		_, err = in.insert("INSERT INTO reading_near (entry, l0, l1, a0, a1, b0, b1) VALUES (?, ?, ?, ?, ?, ?, ?)", at("entry"), at("l"), at("l"), at("a"), at("a"), at("b"), at("b"))
	}
	return err
}

// column reports whether a table has a column that an export may fill. Its name is one of ours, and
// safe to be put into a statement.
func (in *importer) column(table, name string) bool {
	if in.columns == nil {
		in.columns = map[string]map[string]bool{}
	}
	if in.columns[table] == nil {
		in.columns[table] = map[string]bool{}
		rows, err := in.tx.QueryContext(in.ctx, "SELECT name FROM pragma_table_info(?) WHERE name <> 'id'", table)
		if err != nil {
			return false
		}
		defer func() { _ = rows.Close() }()
		for rows.Next() {
			var column string
			if rows.Scan(&column) == nil {
				in.columns[table][column] = true
			}
		}
	}
	return in.columns[table][name]
}

func uidOf(raw json.RawMessage) (uid string, named bool, err error) {
	if raw == nil {
		return "", false, nil
	}
	if err := json.Unmarshal(raw, &uid); err != nil {
		return "", false, err
	}
	if bytes, err := hex.DecodeString(uid); err != nil || len(bytes) != 16 {
		return "", false, fmt.Errorf("%q is no uid", uid)
	}
	return uid, true, nil
}

func (in *importer) remember(table, uid string, id int64) {
	if in.of[table] == nil {
		in.of[table] = map[string]int64{}
	}
	in.of[table][uid] = id
}

// number is the number of a row that is known by its uid; 0 where there is none.
func (in *importer) number(table, uid string) (int64, error) {
	if id := in.of[table][uid]; id != 0 {
		return id, nil
	}
	bytes, err := hex.DecodeString(uid)
	if err != nil {
		return 0, err
	}
	id, err := in.find("SELECT id FROM "+table+" WHERE uid = ?", bytes)
	if id != 0 {
		in.remember(table, uid, id)
	}
	return id, err
}

// value turns what an export has into what the table holds.
func (in *importer) value(t *exportTable, column string, raw json.RawMessage) (any, error) {
	if table := t.refer[column]; table != "" || column == "uid" {
		uid, named, err := uidOf(raw)
		if err != nil || !named {
			return nil, errors.Join(err, nil)
		}
		if column == "uid" {
			return hex.DecodeString(uid)
		}
		id, err := in.number(table, uid)
		if err == nil && id == 0 {
			err = fmt.Errorf("it names a row of %s that does not stand before it", table)
		}
		return id, err
	}
	if asJSON[column] {
		return string(raw), nil
	}
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.UseNumber()
	var v any
	if err := dec.Decode(&v); err != nil {
		return nil, err
	}
	switch v := v.(type) {
	case string:
		return v, nil
	case json.Number:
		if whole, err := v.Int64(); err == nil {
			return whole, nil
		}
		return v.Float64()
	}
	return nil, errors.New("neither text nor a number")
}

// rename gives a piece another name where one here has it.
func (in *importer) rename(columns []string, values []any) error {
	at := slices.Index(columns, "name")
	if at < 0 {
		return errors.New("the piece has no name")
	}
	name, _ := values[at].(string)
	for n := 2; ; n++ {
		there, err := in.piece(fmt.Sprint(values[at]))
		if err != nil || there == 0 {
			return err
		}
		values[at] = fmt.Sprintf("%s (%d)", name, n)
		if n == 2 {
			in.done.Renamed = append(in.done.Renamed, "")
		}
		in.done.Renamed[len(in.done.Renamed)-1] = fmt.Sprintf("another piece called %q came in as %q", name, values[at])
	}
}

// same is the number of a row that says the same of a coating or a batch.
func (in *importer) same(table string, columns []string, values []any) (int64, error) {
	where, args := equal(columns, values, "uid")
	return in.find("SELECT id FROM "+table+" WHERE "+where, args...)
}

// keys are the columns that tell a row without a uid from others of its table.
var keys = map[string][]string{"photo": {"sha256"}, "run_photo": {"run", "path"}}

func (in *importer) there(table string, columns []string, values []any) (bool, error) {
	key := keys[table]
	if key == nil {
		key = []string{"entry"}
	}
	var only []string
	var args []any
	for i, c := range columns {
		if slices.Contains(key, c) {
			only, args = append(only, c), append(args, values[i])
		}
	}
	if len(only) != len(key) {
		return false, fmt.Errorf("the line does not say %s", strings.Join(key, ", "))
	}
	where, args := equal(only, args)
	n, err := in.find("SELECT count(*) FROM "+table+" WHERE "+where, args...)
	return n > 0, err
}

// thereBefore is there for what a plan foresaw: all of it is known, or none.
func (in *importer) thereBefore(columns []string, values []any) (bool, error) {
	where, args := equal(columns, values)
	n, err := in.find("SELECT count(*) FROM foreseen WHERE "+where, args...)
	return n > 0, err
}

func equal(columns []string, values []any, but ...string) (where string, args []any) {
	for i, c := range columns {
		if !slices.Contains(but, c) {
			where, args = where+" AND "+c+" = ?", append(args, values[i])
		}
	}
	return strings.TrimPrefix(where, " AND "), args
}
