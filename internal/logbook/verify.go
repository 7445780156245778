package logbook

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"huewright/internal/fault"
)

// Verify looks the whole log over: the database, what its rows name, every photo's bytes, and every step of a draft. It
// returns what is wrong; nothing where all is well.
func (l *Log) Verify(ctx context.Context) ([]fault.Note, error) {
	faults, err := l.verifyTables(ctx)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	hashes, err := l.hashes(ctx)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	known := map[string]bool{}
	for _, hash := range hashes {
		known[hash] = true
		if err := ctx.Err(); err != nil {
			return faults, err
		}
		if _, err := l.Photo(hash); err != nil {
			f := fault.Of(err)
			if f == nil {
				return faults, err
			}
			faults = append(faults, f.Note)
		}
	}
	err = l.drafts(ctx, func(s draftStep) error {
		if why := s.fault(known); !why.Empty() {
			faults = append(faults, why)
		}
		return nil
	})
	return faults, faultOf(l.path, err)
}

// verifyTables looks the database over, and what its rows name.
func (l *Log) verifyTables(ctx context.Context) (faults []fault.Note, err error) {
	said, err := collect(ctx, l.db, "PRAGMA integrity_check(20)", value[string])
	if err != nil {
		return nil, err
	}
	if len(said) != 1 || said[0] != "ok" {
		faults = append(faults, fault.Say("logbook.pages-damaged", "n", len(said)))
	}
	for _, c := range []struct {
		query string
		code  fault.Code
	}{
		{"SELECT count(*) FROM pragma_foreign_key_check", "logbook.rows-loose"},
		{"SELECT count(*) FROM reading WHERE entry NOT IN (SELECT entry FROM reading_near)", "logbook.readings-lost"},
		{"SELECT count(*) FROM entry WHERE note <> '' AND id NOT IN (SELECT id FROM note_text_docsize)", "logbook.notes-lost"},
		{"SELECT count(*) FROM entry e WHERE " + withoutDetail, "logbook.entries-bare"},
	} {
		n, err := collect(ctx, l.db, c.query, value[int])
		if err != nil {
			return nil, err
		}
		if n[0] > 0 {
			faults = append(faults, fault.Say(c.code, "n", n[0]))
		}
	}
	return faults, nil
}

// withoutDetail holds for entries whose kind has a table of its own, and that have no row there.
const withoutDetail = `(e.kind = 'area' AND NOT EXISTS (SELECT 1 FROM area d WHERE d.entry = e.id)
	OR e.kind = 'picture' AND NOT EXISTS (SELECT 1 FROM picture d WHERE d.entry = e.id)
	OR e.kind = 'reference' AND NOT EXISTS (SELECT 1 FROM reference d WHERE d.entry = e.id)
	OR e.kind = 'reading' AND NOT EXISTS (SELECT 1 FROM reading d WHERE d.entry = e.id)
	OR e.kind = 'test coat' AND NOT EXISTS (SELECT 1 FROM test_coat d WHERE d.entry = e.id)
	OR e.kind = 'coats' AND NOT EXISTS (SELECT 1 FROM coats d WHERE d.entry = e.id)
	OR e.kind = 'plan' AND NOT EXISTS (SELECT 1 FROM plan d WHERE d.entry = e.id)
	OR e.kind = 'check' AND NOT EXISTS (SELECT 1 FROM verdict d WHERE d.entry = e.id))`

// Loose is what lies beside a log and belongs to no row of it.
type Loose struct {
	Half      []string // what was being written when a program was ended; nothing was told to be kept there
	Unclaimed []string // whole photos that no row names: maybe the only ones there are, as after an older backup was taken back
}

// Loose looks for what belongs to no row. What came in within the last minutes is on its way.
func (l *Log) Loose(ctx context.Context) (loose Loose, err error) {
	known := map[string]bool{}
	others, err := siblings(l.path)
	if err != nil {
		return loose, faultOf(l.path, err)
	}
	for _, path := range append(others, l.path) {
		hashes, err := hashesOf(ctx, l, path)
		if err != nil {
			return loose, faultOf(path, err)
		}
		for _, hash := range hashes {
			known[hash] = true
		}
	}
	loose.Half = l.halfBeside()
	err = filepath.WalkDir(l.PhotoFolder(), func(path string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil || d.IsDir() || !l.oldEnough(d):
			return err
		case strings.HasPrefix(d.Name(), halfWritten):
			loose.Half = append(loose.Half, path)
		case isHash(d.Name()) && !known[d.Name()]:
			loose.Unclaimed = append(loose.Unclaimed, path)
		}
		return ctx.Err()
	})
	return loose, faultOf(l.path, err)
}

// hashesOf are the photos that a log names: this one, or another one beside it.
func hashesOf(ctx context.Context, l *Log, path string) ([]string, error) {
	if path == l.path {
		return l.hashes(ctx)
	}
	other, err := Open(ctx, path, Options{ReadOnly: true, Now: l.opt.Now})
	if err != nil {
		return nil, err
	}
	defer func() { _ = other.Close() }()
	return other.hashes(ctx)
}

// Tidy takes away what was never whole, and moves photos that no row names into a folder with the date. It returns the
// folder; "" where none was needed.
func (l *Log) Tidy(loose Loose) (folder string, err error) {
	for _, path := range loose.Half {
		if err := os.RemoveAll(path); err != nil {
			return "", faultOf(path, err)
		}
	}
	if len(loose.Unclaimed) == 0 {
		return "", nil
	}
	folder = stem(l.path) + "-unclaimed-" + l.opt.Now().Format("2006-01-02")
	for _, path := range loose.Unclaimed {
		to := filepath.Join(folder, filepath.Base(path))
		if err := move(path, to); err != nil {
			return folder, faultOf(path, err)
		}
		if isWhole(to, filepath.Base(path)) {
			_ = os.Remove(path) // where it lies in the folder from an earlier tidying
		}
	}
	return folder, nil
}

// stem is a log's file without its ending.
func stem(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) }

// halfBeside are files and folders beside the log, and among its drafts, that were being written when a program was ended.
func (l *Log) halfBeside() (paths []string) {
	for folder, prefix := range map[string]string{
		filepath.Dir(l.path): halfWritten + filepath.Base(stem(l.path)), l.DraftFolder(): halfWritten,
	} {
		entries, _ := os.ReadDir(folder) // a folder that is not there has none
		for _, e := range entries {
			if strings.HasPrefix(e.Name(), prefix) && l.oldEnough(e) {
				paths = append(paths, filepath.Join(folder, e.Name()))
			}
		}
	}
	return paths
}

// sweep takes away what halfBeside finds.
func (l *Log) sweep() {
	for _, path := range l.halfBeside() {
		_ = os.RemoveAll(path) // what stays does no harm
	}
}

// onItsWay is for how long a file that is not whole may yet become so. Our own choice: the largest photo is written in seconds.
const onItsWay = 10 * time.Minute

func (l *Log) oldEnough(d fs.DirEntry) bool {
	info, err := d.Info()
	return err == nil && l.opt.Now().Sub(info.ModTime()) >= onItsWay
}
