package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
)

// An importRow is one row as the table is to have it.
type importRow struct {
	columns []string
	values  []any
}

// value is that of a column; nil where there is none.
func (r *importRow) value(column string) any {
	if i := slices.Index(r.columns, column); i >= 0 {
		return r.values[i]
	}
	return nil
}

func (r *importRow) set(column string, v any) {
	if i := slices.Index(r.columns, column); i >= 0 {
		r.values[i] = v
		return
	}
	r.columns, r.values = append(r.columns, column), append(r.values, v)
}

// row takes in one row.
func (in *importer) row(t *exportTable, given map[string]json.RawMessage) error {
	uid, named, err := uidOf("uid", given["uid"])
	if err != nil {
		return err
	}
	if named {
		if t.name == "entry" && in.leftOut[uid] {
			return wrong("logbook.line-bare")
		}
		known, err := in.number(t.name, uid)
		if err != nil {
			return err
		}
		if known != 0 {
			in.done.Known++
			return nil
		}
	}
	r, err := in.read(t, given)
	if err != nil {
		return err
	}
	if err := in.ofItsKind(t.name, r); err != nil {
		return err
	}
	if known, err := in.known(t.name, uid, r); err != nil || known {
		if known {
			in.done.Known++
		}
		return err
	}
	if t.name == "entry" {
		return in.entry(uid, given, r)
	}
	id, err := in.put(t.name, r)
	if err != nil {
		return err
	}
	in.done.Rows++
	if named {
		in.remember(t.name, uid, id)
	}
	if t.name == "reading" {
		return in.indexReading(r)
	}
	return nil
}

// entry takes in an entry, whose details come later.
func (in *importer) entry(uid string, given map[string]json.RawMessage, r *importRow) error {
	first, err := in.firstHere(uid, given)
	if err != nil {
		return err
	}
	if first {
		in.done.Known++
		return nil
	}
	second, err := in.second(r)
	if err != nil {
		return err
	}
	id, err := in.put("entry", r)
	if err != nil {
		return err
	}
	in.done.Rows++
	in.remember("entry", uid, id)
	in.entries[id] = uid
	if second {
		return in.withdrawSecond(id, uid, r)
	}
	return nil
}

// read turns a line into the row that the table is to have.
func (in *importer) read(t *exportTable, given map[string]json.RawMessage) (*importRow, error) {
	r := &importRow{columns: slices.Sorted(maps.Keys(given))}
	for _, c := range r.columns {
		known, err := in.column(t.name, c)
		if err != nil {
			return nil, err
		}
		if !known {
			return nil, wrong("logbook.line-column", "table", t.name, "column", shown(c))
		}
		v, err := in.value(t, c, given[c])
		if err != nil {
			return nil, err
		}
		r.values = append(r.values, v)
	}
	return r, nil
}

func (in *importer) put(table string, r *importRow) (int64, error) {
	marks := strings.Repeat(", ?", len(r.columns))[2:]
	return in.insert("INSERT INTO "+table+" ("+strings.Join(r.columns, ", ")+") VALUES ("+marks+")", r.values...)
}

// detailOf is the kind of the entries that a table has details of.
var detailOf = map[string]Kind{
	"area": kindArea, "picture": kindPicture, "reference": kindReference, "reading": kindReading, "test_coat": kindTestCoat,
	"coats": kindCoats, "plan": kindPlan, "foreseen": kindPlan, "verdict": kindCheck,
}

// ofItsKind makes sure that details belong to an entry of their kind: else they would count, and be shown nowhere.
func (in *importer) ofItsKind(table string, r *importRow) error {
	kind, isDetail := detailOf[table]
	if !isDetail {
		return nil
	}
	n, err := in.find("SELECT count(*) FROM entry WHERE id = ? AND kind = ?", r.value("entry"), string(kind))
	if err == nil && n == 0 {
		err = wrong("logbook.line-kind", "table", table)
	}
	return err
}

// What is said of an entry that came second.
const (
	undoneToo = "undone in another log too"
	rightToo  = "another entry had put this right before"
)

// second reports whether an entry puts right what another one here has put right before. The first stands. The second is
// kept without a claim: an undoing as a note, a note as a note, and what has details with its details, but withdrawn.
func (in *importer) second(r *importRow) (withdraw bool, err error) {
	was, named := r.value("replaces").(int64)
	if !named {
		was, named = r.value("replaces_again").(int64)
	}
	if !named {
		return false, nil
	}
	stands, err := in.find("SELECT count(*) FROM entry e WHERE e.id = ? AND "+standing("e.id"), was)
	if err != nil {
		return false, err
	}
	r.set("replaces", nil)
	r.set("replaces_again", nil)
	if stands == 1 {
		column, err := in.naming(was)
		r.set(column, was)
		return false, err
	}
	in.done.Second++
	kind, _ := r.value("kind").(string)
	if Kind(kind) == KindWithdrawal {
		r.set("kind", string(kindNote))
		if note, _ := r.value("note").(string); note == "" {
			r.set("note", undoneToo)
		}
	}
	return Kind(kind) != KindWithdrawal && Kind(kind) != kindNote, nil
}

// secondUID is the uid of the withdrawal of an entry that came second: the same wherever it did.
func secondUID(uid string) []byte {
	sum := sha256.Sum256([]byte("withdrawn " + uid))
	return sum[:16]
}

// firstHere reports whether an entry is the withdrawal, in another log, of one that came second there, and first here.
func (in *importer) firstHere(uid string, given map[string]json.RawMessage) (bool, error) {
	second, named, err := uidOf("replaces", given["replaces"])
	if err != nil || !named || uid != hex.EncodeToString(secondUID(second)) {
		return false, err
	}
	id, err := in.number("entry", second)
	if err != nil {
		return false, err
	}
	first, err := in.find("SELECT count(*) FROM entry WHERE id = ? AND coalesce(replaces, replaces_again) IS NOT NULL", id)
	return first == 1, err
}

// withdrawSecond withdraws an entry that came second.
func (in *importer) withdrawSecond(id int64, uid string, r *importRow) error {
	now := stamped(in.now)
	_, err := in.insert("INSERT INTO entry (uid, at, noted_at, kind, piece, area, note, replaces) VALUES (?, ?, ?, ?, ?, ?, ?, ?) "+
		"ON CONFLICT DO NOTHING", secondUID(uid), r.value("at"), now, string(KindWithdrawal), r.value("piece"), r.value("area"), rightToo, id)
	return err
}

// indexReading makes a reading that came in findable by its colour.
func (in *importer) indexReading(r *importRow) error {
	l, a, b := r.value("l"), r.value("a"), r.value("b")
	_, err := in.insert("INSERT INTO reading_near (entry, l0, l1, a0, a1, b0, b1) VALUES (?, ?, ?, ?, ?, ?, ?)",
		r.value("entry"), l, l, a, a, b, b)
	return err
}

// column reports whether a table has a column that an export may fill. Its name is one of ours, and
// safe to be put into a statement.
func (in *importer) column(table, name string) (bool, error) {
	if in.columns[table] == nil {
		names, err := collect(in.ctx, in.tx, "SELECT name FROM pragma_table_info(?) WHERE name <> 'id'", value[string], table)
		if err != nil {
			return false, err
		}
		in.columns[table] = names
	}
	return slices.Contains(in.columns[table], name), nil
}

// value turns what an export has into what the table holds, and makes sure that it can be read back.
func (in *importer) value(t *exportTable, column string, raw json.RawMessage) (any, error) {
	if table := t.refer[column]; table != "" || column == "uid" {
		uid, named, err := uidOf(column, raw)
		if err != nil || !named {
			return nil, err
		}
		if column == "uid" {
			return hex.DecodeString(uid)
		}
		id, err := in.number(table, uid)
		if err == nil && id == 0 {
			err = wrong("logbook.line-before", "column", column, "table", table)
		}
		return id, err
	}
	v, err := plainValue(column, raw)
	if err == nil && !isSound(t.name, column, v) {
		err = errors.New("no such value")
	}
	if err != nil {
		return nil, wrong("logbook.line-value", "column", column, "value", shown(string(raw))).Because(err)
	}
	return v, nil
}

// plainValue is a text or a number, or JSON of its own in the one way that the log writes it.
func plainValue(column string, raw json.RawMessage) (any, error) {
	if column == "stack" {
		var s Stack
		err := json.Unmarshal(raw, &s)
		if err == nil {
			err = s.check()
		}
		return s.text(), err
	}
	if asJSON[column] {
		var line bytes.Buffer
		err := json.Compact(&line, raw)
		return line.String(), err
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
