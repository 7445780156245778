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

// ExportCSV writes each table to a CSV file of its own in a new folder, and the steps of drafts to one more, and returns
// their names. Text that a spreadsheet would take for a formula begins with an apostrophe. A folder that is there is a fault,
// unless overwrite is true; then files of these names in it are written over.
//
// Source: RFC 4180; the apostrophe is common practice.
func (l *Log) ExportCSV(ctx context.Context, folder string, overwrite bool) ([]string, error) {
	info, err := os.Stat(folder)
	if !errors.Is(err, fs.ErrNotExist) && !(err == nil && info.IsDir() && overwrite) {
		return nil, wrong("logbook.folder-taken", "folder", folder)
	}
	drafts, err := l.draftTable(ctx)
	if err != nil {
		return nil, faultOf(l.path, err)
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
	names := []string{"draft.csv"}
	if err := os.WriteFile(filepath.Join(beside, names[0]), drafts, 0o644); err != nil {
		return nil, faultOf(folder, err)
	}
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
	if info != nil {
		for _, name := range names {
			if err := os.Rename(filepath.Join(beside, name), filepath.Join(folder, name)); err != nil {
				return nil, faultOf(folder, err)
			}
		}
		return names, nil
	}
	if err := os.Chmod(beside, 0o755); err != nil {
		return nil, faultOf(folder, err)
	}
	return names, faultOf(folder, os.Rename(beside, folder))
}

// draftTable are the steps of drafts as a CSV table.
func (l *Log) draftTable(ctx context.Context) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	if err := w.Write([]string{"name", "content"}); err != nil {
		return nil, err
	}
	err := l.drafts(ctx, func(s draftStep) error { return w.Write([]string{s.name, cell(string(s.content))}) })
	w.Flush()
	return out.Bytes(), errors.Join(err, w.Error())
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
