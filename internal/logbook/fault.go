package logbook

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"syscall"

	"huewright/internal/fault"
)

// Primary result codes of SQLite.
//
// Source: SQLite, Result and Error Codes, section 4.
const (
	codePerm       = 3
	codeBusy       = 5
	codeLocked     = 6
	codeReadOnly   = 8
	codeInterrupt  = 9
	codeIOErr      = 10
	codeCorrupt    = 11
	codeFull       = 13
	codeCantOpen   = 14
	codeConstraint = 19
	codeNotADB     = 26
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
	code := codeOf(err)
	say := func(code fault.Code) error { return faulty(path, code).Because(err) }
	switch {
	case code == codeInterrupt: // nothing else interrupts a statement
		return context.Canceled
	case code == codeFull, errors.Is(err, syscall.ENOSPC):
		return say("logbook.full")
	case code == codeNotADB:
		return say("logbook.no-log")
	case code == codeCorrupt:
		return say("logbook.damaged")
	case code == codeReadOnly, code == codePerm, errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return say("logbook.read-only")
	case code == codeCantOpen:
		return say("logbook.not-opened")
	case code == codeBusy, code == codeLocked:
		return say("logbook.busy")
	case code == codeConstraint:
		return wrong("logbook.refused").Because(err)
	case code == codeIOErr, isOfFiles(err):
		return say("logbook.disk")
	case code != 0:
		return say("logbook.unknown")
	}
	return err
}

// isOfFiles reports whether an error comes from the file system.
func isOfFiles(err error) bool {
	path, link, call := (*fs.PathError)(nil), (*os.LinkError)(nil), (*os.SyscallError)(nil)
	return errors.As(err, &path) || errors.As(err, &link) || errors.As(err, &call)
}
