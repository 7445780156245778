package logbook

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

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
	if known, err := in.known(t.name, uid, columns, values); err != nil || known {
		in.done.Known++
		return err
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
	if t.name == "reading" {
		err = in.indexReading(columns, values)
	}
	return err
}

// indexReading makes a reading that came in findable by its colour.
func (in *importer) indexReading(columns []string, values []any) error {
	var at [4]any
	for i, c := range []string{"entry", "l", "a", "b"} {
		k := slices.Index(columns, c)
		if k < 0 {
			return fmt.Errorf("the reading has no %s", c)
		}
		at[i] = values[k]
	}
	_, err := in.insert("INSERT INTO reading_near (entry, l0, l1, a0, a1, b0, b1) VALUES (?, ?, ?, ?, ?, ?, ?)",
		at[0], at[1], at[1], at[2], at[2], at[3], at[3])
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
		names, err := collect(in.ctx, in.tx, "SELECT name FROM pragma_table_info(?) WHERE name <> 'id'", value[string], table)
		if err != nil {
			return false
		}
		for _, column := range names {
			in.columns[table][column] = true
		}
	}
	return in.columns[table][name]
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
