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
	Aside string // where the log that was there lies now, whole as it was; "" where there was none
}

// Restore takes a backup back: it puts a copy of it where a log is to be. A log that is there already, damaged or not, is a
// fault, unless overwrite is true; then it is set aside first, with its photos and drafts, in a folder with the date. The
// photos that the backup does not name stay where they are. now is the clock; nil is the machine's.
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
	if err == nil {
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
// drafts get a second name there, or are copied where that cannot be. The folder gets its name when all is in it.
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
	there := filepath.Join(beside, filepath.Base(path))
	for _, journal := range []string{"", "-wal"} {
		if err := copyFile(path+journal, there+journal); err != nil && (journal == "" || !errors.Is(err, fs.ErrNotExist)) {
			return "", err
		}
	}
	for from, to := range map[string]string{PhotosOf(path): PhotosOf(there), DraftsOf(path): DraftsOf(there)} {
		if err := linkAll(from, to); err != nil {
			return "", err
		}
	}
	return folder, os.Rename(beside, folder)
}

// linkAll gives all files in a folder a second name in another.
func linkAll(from, to string) error {
	err := filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		inside, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		name := filepath.Join(to, inside)
		if err := os.MkdirAll(filepath.Dir(name), folderMode); err != nil {
			return err
		}
		if os.Link(path, name) == nil {
			return nil
		}
		return copyFile(path, name) // a file system without links, as on a memory stick
	})
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
