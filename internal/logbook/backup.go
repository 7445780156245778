package logbook

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"huewright/internal/fault"
)

// A BackedUp says what a backup holds.
type BackedUp struct {
	Photos int          // in it
	Steps  int          // of drafts
	Lacks  []fault.Note // what the log should have and could not give: photos that are gone or changed, drafts that cannot be read
}

// Backup copies the log as it is at this moment, with its photos and drafts, while others may go on writing. The copy is
// a log like any other, in a file of its own with folders beside it. It is looked over, every photo of it too, before it gets
// its name, which comes last: a backup that has a name is whole. One that was cut short is gone on with by asking again.
//
// What the log itself has lost is told, and the rest is kept. A name that is taken is a fault, unless overwrite is true;
// then that backup is brought up to date.
func (l *Log) Backup(ctx context.Context, to string, overwrite bool) (BackedUp, error) {
	itself, err := resolve(to)
	if err != nil {
		return BackedUp{}, faultOf(to, err)
	}
	info, err := os.Stat(itself)
	switch {
	case err == nil && info.IsDir():
		return BackedUp{}, wrong("logbook.backup-folder", "file", to, "example", filepath.Join(to, "log-"+l.opt.Now().Format("2006-01-02")+".db"))
	case sameFile(itself, l.path):
		return BackedUp{}, wrong("logbook.backup-itself", "file", to)
	case err == nil && !overwrite:
		return BackedUp{}, wrong("logbook.backup-taken", "file", to)
	case err == nil && !isLog(itself):
		return BackedUp{}, faulty(to, "logbook.no-log")
	}
	if others, err := siblings(itself); err != nil || len(others) > 0 {
		if err != nil {
			return BackedUp{}, faultOf(to, err)
		}
		return BackedUp{}, wrong("logbook.backup-shares", "file", to, "other", others[0])
	}
	if err := standAlone(ctx, itself); err != nil {
		return BackedUp{}, faultOf(to, err)
	}
	return l.copyWhole(ctx, itself)
}

// copyWhole writes the log, with its photos and drafts, to a file that is not there or stands alone.
func (l *Log) copyWhole(ctx context.Context, to string) (done BackedUp, err error) {
	if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
		return done, faultOf(to, err)
	}
	there := &Log{path: to, opt: l.opt}
	there.sweep()
	// Drafts first: what they name is in the tables by then.
	steps, err := l.copyDrafts(ctx, there, &done)
	if err != nil {
		return done, faultOf(to, err)
	}
	beside, err := l.copyBeside(ctx, to)
	if err != nil {
		return done, faultOf(to, err)
	}
	defer func() { _ = os.Remove(beside) }()
	hashes, err := l.looked(ctx, beside)
	if err != nil {
		return done, faultOf(to, err)
	}
	for _, hash := range hashes {
		if err := ctx.Err(); err != nil {
			return done, err
		}
		if err := l.copyPhoto(there, hash, &done); err != nil {
			return done, faultOf(to, err)
		}
	}
	if err := os.Rename(beside, to); err != nil {
		return done, faultOf(to, err)
	}
	if err := syncFolder(filepath.Dir(to)); err != nil {
		return done, faultOf(to, err)
	}
	// It has its name: what asks for it again would find it there, so that this is done to the end.
	return done, faultOf(to, there.dropDrafts(context.WithoutCancel(ctx), steps))
}

// looked looks a copy of the database over, and returns the photos that it names.
func (l *Log) looked(ctx context.Context, path string) ([]string, error) {
	copied := &Log{path: path, opt: l.opt}
	copied.opt.asIs = true
	if err := copied.open(ctx, "mode=ro&immutable=1"); err != nil {
		return nil, err
	}
	defer func() { _ = copied.db.Close() }()
	faults, err := copied.verifyTables(ctx)
	if err == nil && len(faults) > 0 {
		err = faulty(l.path, "logbook.copy-damaged", "n", len(faults))
	}
	if err != nil {
		return nil, err
	}
	return copied.hashes(ctx)
}

// copyPhoto copies a photo, reads it back, and tells where the log itself has not got it whole.
func (l *Log) copyPhoto(there *Log, hash string, done *BackedUp) error {
	to, err := there.photoPath(hash)
	if err != nil {
		return err
	}
	if !isWhole(to, hash) {
		data, err := l.Photo(hash)
		if fault.Is(err, "logbook.photo-gone", "logbook.photo-changed") {
			done.Lacks = append(done.Lacks, fault.Of(err).Note)
			return nil
		}
		if err != nil {
			return err
		}
		if err := there.store(hash, data); err != nil {
			return err
		}
		if !isWhole(to, hash) {
			return faulty(to, "logbook.copy-differs")
		}
	}
	done.Photos++
	return nil
}

// copyDrafts copies the steps of drafts, and returns their names.
func (l *Log) copyDrafts(ctx context.Context, there *Log, done *BackedUp) (map[string]bool, error) {
	names := map[string]bool{}
	err := l.drafts(ctx, func(s draftStep) error {
		names[s.name] = true
		if !json.Valid(s.content) { // it is copied as it is all the same
			done.Lacks = append(done.Lacks, fault.Say("logbook.draft-unreadable", "name", s.name))
		}
		done.Steps++
		to := filepath.Join(there.DraftFolder(), s.name)
		if here, err := os.ReadFile(to); err == nil && bytes.Equal(here, s.content) {
			return nil
		}
		if err := os.MkdirAll(there.DraftFolder(), folderMode); err != nil {
			return err
		}
		return kept.WriteBytes(to, s.content)
	})
	return names, err
}

// dropDrafts takes away steps of drafts that are not among those that were copied: an earlier copy had them.
func (l *Log) dropDrafts(ctx context.Context, copied map[string]bool) error {
	return l.drafts(ctx, func(s draftStep) error {
		if copied[s.name] {
			return nil
		}
		return os.Remove(filepath.Join(l.DraftFolder(), s.name))
	})
}

// siblings are other logs whose photos would lie in the same folder as those of a log.
func siblings(path string) (others []string, err error) {
	entries, err := os.ReadDir(filepath.Dir(path))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, e := range entries {
		other := filepath.Join(filepath.Dir(path), e.Name())
		if other != path && e.Type().IsRegular() && (PhotosOf(other) == PhotosOf(path) || DraftsOf(other) == DraftsOf(path)) &&
			!sameFile(other, path) && mayBeLog(other) {
			others = append(others, other)
		}
	}
	return others, err
}

// isLog reports whether a file begins as a log does.
func isLog(path string) bool {
	id, err := applicationIn(path)
	return err == nil && id == applicationID
}

// mayBeLog reports whether a file begins as a log does, or may have its beginning in its journal yet.
func mayBeLog(path string) bool {
	id, err := applicationIn(path)
	return err == nil && (id == applicationID || id == 0 && !(&Log{path: path}).still())
}

func (l *Log) hashes(ctx context.Context) ([]string, error) {
	return collect(ctx, l.db, "SELECT sha256 FROM photo ORDER BY sha256", value[string])
}

// standAlone makes a log's file whole by itself, without a journal beside it, so that it can be replaced. While another
// program has it open that is a fault. Where there is no log, or one that cannot be opened, nothing is done.
func standAlone(ctx context.Context, path string) error {
	if !mayBeLog(path) {
		return nil
	}
	l := &Log{path: path}
	defer func() {
		if l.db != nil {
			_ = l.db.Close()
		}
	}()
	err := l.connectTo(ctx, "_pragma=busy_timeout(2000)")
	if err == nil {
		l.db.SetMaxOpenConns(1)
		var mode string
		if err = l.db.QueryRowContext(ctx, "PRAGMA journal_mode = DELETE").Scan(&mode); err == nil && mode != "delete" {
			err = faulty(path, "logbook.in-use")
		}
	}
	switch err = faultOf(path, err); {
	case fault.Is(err, "logbook.busy"):
		return faulty(path, "logbook.in-use").Because(err)
	case fault.Is(err, "logbook.damaged", "logbook.no-log", "logbook.disk", "logbook.unknown"):
		return nil // it is copied as it lies
	}
	return err
}

// copyFile copies a file, whole or not at all.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
		return err
	}
	return kept.Write(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}
