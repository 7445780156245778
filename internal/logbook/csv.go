package logbook

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// ExportCSV writes each table to a CSV file of its own in a new folder, and returns their names. Text
// that a spreadsheet would take for a formula begins with an apostrophe.
//
// Source: RFC 4180; the apostrophe is common practice.
func (l *Log) ExportCSV(ctx context.Context, folder string) ([]string, error) {
	if _, err := os.Stat(folder); !errors.Is(err, fs.ErrNotExist) {
		return nil, wrong("say a folder that is not there yet", "%s: there is something of that name", folder)
	}
	tx, err := l.db.BeginTx(ctx, snapshot)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	defer func() { _ = tx.Rollback() }()
	beside, err := os.MkdirTemp(filepath.Dir(filepath.Clean(folder)), halfWritten)
	if err != nil {
		return nil, faultOf(folder, err)
	}
	defer func() { _ = os.RemoveAll(beside) }()
	var names []string
	for _, t := range exported {
		rows, err := tx.QueryContext(ctx, t.query)
		if err != nil {
			return nil, faultOf(l.path, err)
		}
		table, err := tableOf(rows)
		_ = rows.Close()
		if err != nil {
			return nil, faultOf(l.path, err)
		}
		name := t.name + ".csv"
		if err := os.WriteFile(filepath.Join(beside, name), table, 0o644); err != nil {
			return nil, faultOf(folder, err)
		}
		names = append(names, name)
	}
	if err := os.Chmod(beside, 0o755); err != nil {
		return nil, faultOf(folder, err)
	}
	return names, faultOf(folder, os.Rename(beside, folder))
}

func tableOf(rows rowsOf) ([]byte, error) {
	columns, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.Write(columns); err != nil {
		return nil, err
	}
	values, places := make([]any, len(columns)), make([]any, len(columns))
	for i := range values {
		places[i] = &values[i]
	}
	for rows.Next() {
		if err := rows.Scan(places...); err != nil {
			return nil, err
		}
		line := make([]string, len(values))
		for i, v := range values {
			line[i] = cell(v)
		}
		if err := w.Write(line); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return out.Bytes(), errors.Join(rows.Err(), w.Error())
}

func cell(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case []byte:
		return hex.EncodeToString(v)
	case string:
		if v != "" && bytes.IndexByte([]byte("=+-@\t\r"), v[0]) >= 0 {
			return "'" + v
		}
		return v
	}
	return fmt.Sprint(v)
}
