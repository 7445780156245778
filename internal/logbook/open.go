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
	"os"
	"path/filepath"
	"runtime"
	"time"

	"huewright/internal/fault"
)

// Open opens a log, and brings one of an older version up to date; a copy of it as it was is left
// beside it.
//
// Where there is no log, or what is there is none, is of a later version or is damaged, it is a fault.
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
	itself, err := resolve(path)
	if err != nil {
		return nil, faultOf(path, err)
	}
	l := &Log{path: itself, opt: opt}
	info, err := os.Stat(itself)
	switch {
	case err == nil && info.IsDir():
		return nil, faulty(path, "logbook.folder", "example", filepath.Join(path, fileName))
	case errors.Is(err, fs.ErrNotExist) && (!opt.Make || opt.ReadOnly):
		return nil, faulty(path, "logbook.missing")
	case errors.Is(err, fs.ErrNotExist):
		if err := makeEmpty(itself); err != nil {
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
			if !opt.ReadOnly {
				l.sweep()
			}
			if err := l.adoptFrom(path); err != nil {
				_ = l.db.Close()
				return nil, err
			}
			return l, nil
		}
		if l.db != nil {
			_ = l.db.Close()
		}
		if err = faultOf(path, err); !fault.Is(err, "logbook.busy") || time.Since(began) > opt.Patience || ctx.Err() != nil {
			return nil, err
		}
	}
}

// makeEmpty makes an empty file for a log, in a folder that is made for it where there is none: what is to be kept in it
// is for its owner alone.
func makeEmpty(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), folderMode); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE, fileMode)
	if err != nil {
		return err
	}
	return file.Close()
}

// adoptFrom adopts what lies beside a link that the log was opened through. Where nothing may be written it stays.
func (l *Log) adoptFrom(path string) error {
	link, err := filepath.Abs(path)
	if err != nil || link == l.path {
		return faultOf(path, err)
	}
	if err := l.adopt(link); err != nil && !l.opt.ReadOnly {
		return faultOf(path, err)
	}
	return nil
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
func (l *Log) peek(size int64) error {
	foreign := faulty(l.path, "logbook.no-log")
	if size == 0 {
		return nil
	}
	id, err := applicationIn(l.path)
	if errors.Is(err, fs.ErrPermission) {
		return err
	}
	if err != nil {
		return foreign
	}
	// A log in its first moment is one empty page, or has all it knows in its journal yet.
	const onePage = 4096
	if id != applicationID && (id != 0 || size > onePage && l.still()) {
		return foreign
	}
	return nil
}

// applicationIn is the application id in the header of a database.
//
// Source: SQLite, Database File Format, section 1.3.
func applicationIn(path string) (uint32, error) {
	file, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer func() { _ = file.Close() }()
	const headerSize, idAt = 100, 68
	var head [headerSize]byte
	if _, err := io.ReadFull(file, head[:]); err != nil {
		return 0, err
	}
	if !bytes.HasPrefix(head[:], []byte("SQLite format 3\x00")) {
		return 0, errors.New("no database")
	}
	return binary.BigEndian.Uint32(head[idAt:]), nil
}

// still reports whether the log's file is whole by itself, without a journal to be taken in.
func (l *Log) still() bool {
	journal, err := os.Stat(l.path + "-wal")
	return err != nil || journal.Size() == 0
}

func (l *Log) open(ctx context.Context, query string) error {
	if err := l.connectTo(ctx, query); err != nil {
		return err
	}
	return l.prepare(ctx)
}

func (l *Log) connectTo(ctx context.Context, query string) (err error) {
	if l.db != nil {
		_ = l.db.Close()
	}
	if l.db, err = sql.Open(driver, addressOf(runtime.GOOS, l.path, query)); err != nil {
		return err
	}
	return l.db.PingContext(ctx)
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
	case id != applicationID && (tables > 0 || id != 0):
		return faulty(l.path, "logbook.no-log")
	case version > latest:
		return faulty(l.path, "logbook.newer", "version", version, "latest", latest)
	case version == latest, version > 0 && l.opt.asIs:
		return nil
	case l.opt.ReadOnly && version > 0:
		return l.upgradeElsewhere(ctx)
	case l.opt.ReadOnly:
		return faulty(l.path, "logbook.missing")
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
