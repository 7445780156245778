package logbook

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/google/uuid"

	"huewright/internal/fault"
)

// A Writer writes into a log within one call of Write.
type Writer struct {
	log *Log
	ctx context.Context
	tx  *sql.Tx
	now time.Time

	prepared map[string]*sql.Stmt // closed with tx
}

// Write calls do, and keeps all that it wrote, or, where it returns an error, none of it. When Write
// has returned nil, all is on the disk. While another program writes, it waits.
func (l *Log) Write(ctx context.Context, do func(*Writer) error) error {
	tx, err := l.begin(ctx)
	if err != nil {
		return faultOf(l.path, err)
	}
	defer func() { _ = tx.Rollback() }()
	if err := do(&Writer{log: l, ctx: ctx, tx: tx, now: l.opt.Now(), prepared: map[string]*sql.Stmt{}}); err != nil {
		return faultOf(l.path, err)
	}
	return faultOf(l.path, tx.Commit())
}

// begin begins to write. It waits for others with patience, and says so.
func (l *Log) begin(ctx context.Context) (*sql.Tx, error) {
	began := time.Now()
	for said := false; ; {
		tx, err := l.db.BeginTx(ctx, nil)
		if err == nil || !fault.Is(faultOf(l.path, err), "logbook.busy") || time.Since(began) > l.opt.Patience {
			return tx, err
		}
		if !said && l.opt.Waiting != nil {
			l.opt.Waiting()
		}
		said = true
	}
}

func (w *Writer) prepare(statement string) (*sql.Stmt, error) {
	if done, ok := w.prepared[statement]; ok {
		return done, nil
	}
	stmt, err := w.tx.PrepareContext(w.ctx, statement)
	if err == nil {
		w.prepared[statement] = stmt
	}
	return stmt, err
}

// insert writes one row and returns its number.
func (w *Writer) insert(statement string, args ...any) (int64, error) {
	prepared, err := w.prepare(statement)
	if err != nil {
		return 0, err
	}
	done, err := prepared.ExecContext(w.ctx, args...)
	if err != nil {
		return 0, err
	}
	return done.LastInsertId()
}

// find returns the number that a query finds; 0 where it finds none.
func (w *Writer) find(query string, args ...any) (id int64, err error) {
	prepared, err := w.prepare(query)
	if err != nil {
		return 0, err
	}
	err = prepared.QueryRowContext(w.ctx, args...).Scan(&id)
	if err == sql.ErrNoRows {
		return 0, nil
	}
	return id, err
}

// insertNew is insert for a row with a uid, the first of its columns, which names it in every copy of the log.
//
// Source: RFC 9562, version 7: by time, then by chance.
func (w *Writer) insertNew(statement string, args ...any) (int64, error) {
	uid, err := uuid.NewV7()
	if err != nil {
		return 0, err
	}
	return w.insert(statement, append([]any{uid[:]}, args...)...)
}

// stamp is how the log writes times: sorted as text they are sorted in time.
const stamp = "2006-01-02T15:04:05.000Z"

func stamped(t time.Time) string { return t.UTC().Format(stamp) }

// orNull is NULL for nothing.
func orNull[T comparable](v T) any {
	var nothing T
	if v == nothing {
		return nil
	}
	return v
}

// copyTo writes a copy of the database as it is now, whole or not at all.
func (l *Log) copyTo(ctx context.Context, to string) error {
	beside, err := l.copyBeside(ctx, to)
	if err != nil {
		return err
	}
	return os.Rename(beside, to)
}

// vacuumInto copies the database into an empty file. A log that is open for looking only is copied too.
func (l *Log) vacuumInto(ctx context.Context, path string) (err error) {
	conn, err := l.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	if l.opt.ReadOnly {
		if _, err := conn.ExecContext(ctx, "PRAGMA query_only = 0"); err != nil {
			return err
		}
		defer func() {
			_, closing := conn.ExecContext(context.WithoutCancel(ctx), "PRAGMA query_only = 1")
			err = errors.Join(err, closing)
		}()
	}
	_, err = conn.ExecContext(ctx, "VACUUM INTO ?", path)
	return err
}

// copyBeside writes a copy of the database as it is now to a file beside the one that it is to be, and returns its name.
// It is on the disk then.
func (l *Log) copyBeside(ctx context.Context, to string) (_ string, err error) {
	path := filepath.Join(filepath.Dir(to), halfWritten+filepath.Base(to))
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(path)
		}
	}()
	if err := makeEmpty(path); err != nil {
		return "", err
	}
	if err := l.vacuumInto(ctx, path); err != nil {
		return "", err
	}
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return "", err
	}
	return path, errors.Join(file.Sync(), file.Close())
}
