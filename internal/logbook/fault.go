package logbook

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"

	"huewright/internal/fault"
)

// wrong is a fault in what was asked of the log.
func wrong(code fault.Code, values ...any) *fault.Fault { return fault.New(fault.Use, code, values...) }

// faulty is a fault of the log in a file.
func faulty(path string, code fault.Code, values ...any) *fault.Fault {
	f := fault.New(fault.Log, code, values...)
	f.Place = fault.Place{File: path}
	return f
}

// faultOf turns what the database or the file system says into a fault; nil stays nil, and faults and errors of others
// stay as they are.
func faultOf(path string, err error) error {
	if err == nil || fault.Of(err) != nil {
		return err
	}
	code := 0
	database := (*sqlite.Error)(nil)
	if errors.As(err, &database) {
		code = database.Code() & 0xff // without the extended part
	}
	say := func(code fault.Code) error { return faulty(path, code).Because(err) }
	switch {
	case code == lib.SQLITE_FULL, errors.Is(err, syscall.ENOSPC):
		return say("logbook.full")
	case code == lib.SQLITE_NOTADB:
		return say("logbook.no-log")
	case code == lib.SQLITE_CORRUPT:
		return say("logbook.damaged")
	case code == lib.SQLITE_READONLY, code == lib.SQLITE_PERM, errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return say("logbook.read-only")
	case code == lib.SQLITE_CANTOPEN:
		return say("logbook.not-opened")
	case code == lib.SQLITE_BUSY, code == lib.SQLITE_LOCKED:
		return say("logbook.busy")
	case code == lib.SQLITE_CONSTRAINT:
		return wrong("logbook.refused").Because(err)
	case code == lib.SQLITE_IOERR, isOfFiles(err):
		return say("logbook.disk")
	case database != nil:
		return say("logbook.unknown")
	}
	return err
}

// isOfFiles reports whether an error comes from the file system.
func isOfFiles(err error) bool {
	path, link, call := (*fs.PathError)(nil), (*os.LinkError)(nil), (*os.SyscallError)(nil)
	return errors.As(err, &path) || errors.As(err, &link) || errors.As(err, &call)
}
