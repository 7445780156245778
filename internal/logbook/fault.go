package logbook

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// A FaultKind says what is wrong with a log, so that a program can tell.
type FaultKind string

// The kinds of fault.
const (
	noPlace     FaultKind = "no place" // nowhere to keep it
	missing     FaultKind = "missing"  // there is none yet
	otherFile   FaultKind = "other"    // not a log: another program's file
	newer       FaultKind = "newer"    // written by a later version of this program
	Damaged     FaultKind = "damaged"
	notWritable FaultKind = "read only"
	full        FaultKind = "full" // the disk
	busy        FaultKind = "busy" // another program is writing
	unknown     FaultKind = "unknown"
	Wrong       FaultKind = "wrong" // what was asked makes no sense
)

// A Fault is something wrong with the log, or with what it was asked.
type Fault struct {
	Kind    FaultKind
	Path    string // of the log; "" where it does not matter
	Problem string
	Advice  string
	Err     error // beneath; nil where there is none
}

func (e *Fault) Error() string {
	if e.Path == "" {
		return e.Problem
	}
	return e.Path + ": " + e.Problem
}

// Hint says what to do about it.
func (e *Fault) Hint() string { return e.Advice }

func (e *Fault) Unwrap() error { return e.Err }

// Is reports whether an error is a fault of a kind.
func Is(err error, kind FaultKind) bool {
	fault := (*Fault)(nil)
	return errors.As(err, &fault) && fault.Kind == kind
}

func wrong(advice, format string, args ...any) error {
	return &Fault{Kind: Wrong, Problem: fmt.Sprintf(format, args...), Advice: advice}
}

// faultOf turns what the database or the file system says into a fault with advice; nil stays nil, and
// faults stay as they are.
func faultOf(path string, err error) error {
	if fault := (*Fault)(nil); err == nil || errors.As(err, &fault) {
		return err
	}
	fault := &Fault{Kind: unknown, Path: path, Problem: err.Error(), Err: err}
	code := 0
	if e := (*sqlite.Error)(nil); errors.As(err, &e) {
		code = e.Code() & 0xff // without the extended part
	}
	switch {
	case code == lib.SQLITE_FULL, errors.Is(err, syscall.ENOSPC):
		fault.Kind, fault.Problem = full, "the disk is full: this was not kept, and what was kept before is whole"
		fault.Advice = "make room on that disk, then say it again; or move the log: see huewright log where"
	case code == lib.SQLITE_NOTADB:
		fault.Kind, fault.Problem = otherFile, "this is not a log"
		fault.Advice = "name the log's own file with --log; if this was one, its beginning is overwritten: put the latest backup in its place"
	case code == lib.SQLITE_CORRUPT:
		fault.Kind, fault.Problem = Damaged, "part of the log's file is damaged"
		fault.Advice = "copy the file and what lies beside it away before anything else; then put the latest backup in its " +
			"place, or take what can still be read with huewright log export and import that into a new log"
	case code == lib.SQLITE_READONLY, code == lib.SQLITE_PERM, errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		fault.Kind, fault.Problem = notWritable, "the log may not be written there"
		fault.Advice = "give yourself the right to write that folder, or say another place with --log"
	case code == lib.SQLITE_CANTOPEN:
		fault.Kind, fault.Problem = noPlace, "the log's file cannot be opened"
		fault.Advice = "see whether its folder is there and may be read and written, or say another place with --log"
	case code == lib.SQLITE_BUSY, code == lib.SQLITE_LOCKED:
		fault.Kind, fault.Problem = busy, "another huewright has been writing to the log for long"
		fault.Advice = "let it finish, or end it, and say this again: nothing was lost"
	case code == lib.SQLITE_IOERR:
		fault.Problem = "the disk could not be read or written: " + err.Error()
		fault.Advice = "see whether the disk is full, unplugged or failing; what was kept before stays as it is"
	}
	return fault
}
