package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"
)

// Open opens a log, and brings one of an older version up to date; a copy of it as it was is left
// beside it.
//
// It returns a *Fault where there is no log, or what is there is none, is of a later version or is
// damaged.
func Open(ctx context.Context, path string, opt Options) (*Log, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Patience == 0 {
		opt.Patience = 30 * time.Second
	}
	if opt.steps == nil {
		opt.steps = steps
	}
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, faultOf(path, err)
	}
	l := &Log{path: absolute, opt: opt}
	info, err := os.Stat(absolute)
	switch {
	case err == nil && info.IsDir():
		return nil, &Fault{Kind: otherFile, Path: path, Problem: "this is a folder",
			Advice: "name the log's file in it, as in " + filepath.Join(path, fileName)}
	case errors.Is(err, fs.ErrNotExist) && (!opt.Make || opt.ReadOnly):
		return nil, &Fault{Kind: missing, Path: path, Problem: "there is no log yet",
			Advice: "begin a piece: huewright log begin \"NAME OF THE PIECE\""}
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(filepath.Dir(absolute), 0o755); err != nil {
			return nil, faultOf(path, err)
		}
	case err != nil:
		return nil, faultOf(path, err)
	default:
		if err := l.peek(info.Size()); err != nil {
			return nil, faultOf(path, err)
		}
	}
	// When several open a new log at once, one of them sets its journal up; the database does not wait
	// for that by itself.
	for began := time.Now(); ; time.Sleep(10 * time.Millisecond) {
		err := l.connect(ctx)
		if err == nil {
			return l, nil
		}
		if l.db != nil {
			_ = l.db.Close()
		}
		if err = faultOf(path, err); !Is(err, busy) || time.Since(began) > opt.Patience || ctx.Err() != nil {
			return nil, err
		}
	}
}

// busyWait is how long the database itself waits for another writer before we say so.
const busyWait = time.Second

func (l *Log) connect(ctx context.Context) error {
	pragmas := fmt.Sprintf("_pragma=busy_timeout(%d)&_pragma=foreign_keys(1)&_pragma=trusted_schema(0)", busyWait.Milliseconds())
	query := pragmas + "&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_txlock=immediate"
	if l.opt.ReadOnly {
		if err := l.open(ctx, pragmas+"&_pragma=query_only(1)"); err == nil || !l.still() {
			return err
		}
		// Where nothing may be written, a log that nobody has open is read as it lies.
		query = pragmas + "&mode=ro&immutable=1"
	}
	return l.open(ctx, query)
}

// peek makes sure that a file is not another program's before anything is done to it: a database
// that is opened is changed by that alone.
//
// Source: SQLite, Database File Format, section 1.3.
func (l *Log) peek(size int64) error {
	const headerSize, idAt = 100, 68
	foreign := &Fault{Kind: otherFile, Path: l.path, Problem: "this is another program's file, and no log",
		Advice: "name the log's own file with --log; this one was left as it is. If it was a log, its beginning is " +
			"overwritten: put the latest backup in its place"}
	if size == 0 {
		return nil
	}
	file, err := os.Open(l.path)
	if err != nil {
		return err
	}
	defer func() { _ = file.Close() }()
	var head [headerSize]byte
	if _, err := io.ReadFull(file, head[:]); err != nil || !bytes.HasPrefix(head[:], []byte("SQLite format 3\x00")) {
		return foreign
	}
	// A log in its first moment is one empty page, or has all it knows in its journal yet.
	const onePage = 4096
	if id := binary.BigEndian.Uint32(head[idAt:]); id != applicationID && (id != 0 || size > onePage && l.still()) {
		return foreign
	}
	return nil
}

// still reports whether the log's file is whole by itself, without a journal to be taken in.
func (l *Log) still() bool {
	journal, err := os.Stat(l.path + "-wal")
	return err != nil || journal.Size() == 0
}

func (l *Log) open(ctx context.Context, query string) (err error) {
	if l.db != nil {
		_ = l.db.Close()
	}
	name := (&url.URL{Scheme: "file", Path: filepath.ToSlash(l.path), RawQuery: query}).String()
	if l.db, err = sql.Open("sqlite", name); err != nil {
		return err
	}
	return l.prepare(ctx)
}

// prepare makes sure of what the file is and brings it up to date.
func (l *Log) prepare(ctx context.Context) error {
	var id, version, tables int
	row := l.db.QueryRowContext(ctx, "SELECT (SELECT application_id FROM pragma_application_id), (SELECT user_version FROM "+
		"pragma_user_version), (SELECT count(*) FROM sqlite_schema)")
	if err := row.Scan(&id, &version, &tables); err != nil {
		return err
	}
	latest := len(l.opt.steps)
	switch {
	case id != applicationID && (tables > 0 || id != 0 || l.opt.ReadOnly):
		return &Fault{Kind: otherFile, Path: l.path, Problem: "this is another program's file",
			Advice: "name the log's own file with --log; this one was left as it is"}
	case version > latest:
		return &Fault{Kind: newer, Path: l.path, Problem: fmt.Sprintf("this log is of version %d, and this program knows "+
			"versions up to %d", version, latest), Advice: "use the newer huewright that wrote it; the log was left as it is"}
	case version == latest:
		return nil
	case l.opt.ReadOnly && version > 0:
		return l.upgradeElsewhere(ctx)
	case l.opt.ReadOnly:
		return &Fault{Kind: missing, Path: l.path, Problem: "the log is empty",
			Advice: "begin a piece: huewright log begin \"NAME OF THE PIECE\""}
	}
	return l.migrate(ctx, version)
}

// upgradeElsewhere brings a log up to date that is only to be looked at, by opening it for writing.
func (l *Log) upgradeElsewhere(ctx context.Context) error {
	opt := l.opt
	opt.ReadOnly = false
	other, err := Open(ctx, l.path, opt)
	if err != nil {
		return err
	}
	return other.Close()
}
