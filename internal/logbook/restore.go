package logbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"huewright/internal/fault"
)

// A Restored says what has come back.
type Restored struct {
	BackedUp
	Aside string // where the log and the drafts that were there lie now, whole as they were; "" where there were none
}

// Restore takes a backup back: it puts a copy of it where a log is to be. A log that is there already, damaged or not, is a
// fault, unless overwrite is true; then it is set aside first, with its photos and drafts, in a folder with the date. So are
// drafts whose log is gone. The photos that the backup does not name stay where they are. now is the clock; nil is the
// machine's.
func Restore(ctx context.Context, backup, to string, overwrite bool, now func() time.Time) (done Restored, err error) {
	itself, err := resolve(to)
	if err != nil {
		return done, faultOf(to, err)
	}
	b, err := Open(ctx, backup, Options{ReadOnly: true, Now: now, asIs: true})
	if fault.Is(err, "logbook.missing") {
		return done, wrong("logbook.no-backup", "file", backup)
	}
	if err != nil {
		return done, err
	}
	defer func() { _ = b.Close() }()
	_, err = os.Stat(itself)
	switch {
	case sameFile(itself, b.path):
		return done, wrong("logbook.restore-itself", "file", to)
	case err == nil && !overwrite:
		return done, wrong("logbook.restore-taken", "file", to)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return done, faultOf(to, err)
	case PhotosOf(itself) == b.PhotoFolder():
		return done, wrong("logbook.backup-shares", "file", to, "other", b.path)
	}
	drafts, _ := os.ReadDir(DraftsOf(itself)) // a folder that is not there has none
	if err == nil || len(drafts) > 0 {
		if err := standAlone(ctx, itself); err != nil {
			return done, faultOf(to, err)
		}
		if done.Aside, err = setAside(itself, b.opt.Now()); err != nil {
			return done, faultOf(to, err)
		}
		for _, journal := range []string{"-wal", "-shm"} {
			if err := os.Remove(itself + journal); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return done, faultOf(to, err)
			}
		}
	}
	done.BackedUp, err = b.copyWhole(ctx, itself)
	return done, err
}

// setAside copies a log as it lies, damaged or not, into a folder beside it, where it is a log like any other. Photos and
// drafts, which may be there without it, get a second name there. The folder gets its name when all is in it.
func setAside(path string, now time.Time) (string, error) {
	dated := stem(path) + "-before-" + now.Format("2006-01-02-150405")
	folder := dated
	for n := 2; ; n++ {
		if _, err := os.Lstat(folder); err != nil {
			break
		}
		folder = fmt.Sprintf("%s-%d", dated, n)
	}
	beside := filepath.Join(filepath.Dir(path), halfWritten+filepath.Base(folder))
	if err := os.RemoveAll(beside); err != nil {
		return "", err
	}
	if err := os.MkdirAll(beside, folderMode); err != nil {
		return "", err
	}
	there := filepath.Join(beside, filepath.Base(path))
	for _, journal := range []string{"", "-wal"} {
		if err := copyFile(path+journal, there+journal); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
	}
	for from, to := range map[string]string{PhotosOf(path): PhotosOf(there), DraftsOf(path): DraftsOf(there)} {
		if err := eachFile(from, to, link); err != nil {
			return "", err
		}
	}
	return folder, os.Rename(beside, folder)
}

// link gives a file a second name, or copies it where that cannot be: on a file system without links, as on a memory stick.
func link(from, to string) error {
	if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
		return err
	}
	if os.Link(from, to) == nil {
		return nil
	}
	return copyFile(from, to)
}
