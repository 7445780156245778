package logbook

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Backup copies the log as it is at this moment, with its photos, while others may go on writing.
// The copy is a log like any other. What a folder of photos already has is not copied again.
//
// It returns a *Fault of kind Wrong where there is a file of that name already.
func (l *Log) Backup(ctx context.Context, to string) error {
	if _, err := os.Stat(to); err == nil {
		return wrong("say a name that is not taken yet, with the date in it", "%s: there is a file of that name", to)
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return faultOf(to, err)
	}
	if err := l.copyTo(ctx, to); err != nil {
		return faultOf(to, err)
	}
	copied, err := Open(ctx, to, Options{Now: l.opt.Now})
	if err != nil {
		return err
	}
	defer func() { _ = copied.Close() }()
	hashes, err := copied.hashes(ctx)
	if err != nil {
		return err
	}
	// Photos are kept before anything names them, so that all are there.
	for _, hash := range hashes {
		if err := ctx.Err(); err != nil {
			return err
		}
		from, err := l.photoPath(hash)
		if err != nil {
			return err
		}
		there, err := copied.photoPath(hash)
		if err != nil {
			return err
		}
		if _, err := os.Stat(there); err == nil {
			continue
		}
		if err := copyFile(from, there); err != nil {
			return faultOf(to, err)
		}
	}
	return nil
}

func (l *Log) hashes(ctx context.Context) ([]string, error) {
	return collect(ctx, l.db, "SELECT sha256 FROM photo ORDER BY sha256", value[string])
}

// Verify looks the whole log over: the database, what its rows name, and every photo's bytes. It
// returns what is wrong, each a sentence; nothing where all is well.
func (l *Log) Verify(ctx context.Context) ([]string, error) {
	faults, err := collect(ctx, l.db, "PRAGMA integrity_check(20)", value[string])
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	if len(faults) == 1 && faults[0] == "ok" {
		faults = nil
	}
	loose, err := collect(ctx, l.db, `SELECT "table", coalesce(rowid, 0), parent FROM pragma_foreign_key_check`,
		func(scan func(...any) error) (s string, err error) {
			var table, parent string
			var row int64
			err = scan(&table, &row, &parent)
			return fmt.Sprintf("row %d of %s names a row of %s that is not there", row, table, parent), err
		})
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	faults = append(faults, loose...)
	for _, c := range []struct{ query, fault string }{
		{"SELECT count(*) FROM reading WHERE entry NOT IN (SELECT entry FROM reading_near)", "%d readings cannot be found by their colour"},
		{withoutDetail, "%d entries say what kind they are and not the rest"},
	} {
		n, err := collect(ctx, l.db, c.query, value[int])
		if err != nil {
			return nil, faultOf(l.path, err)
		}
		if n[0] > 0 {
			faults = append(faults, fmt.Sprintf(c.fault, n[0]))
		}
	}
	hashes, err := l.hashes(ctx)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	for _, hash := range hashes {
		if err := ctx.Err(); err != nil {
			return faults, err
		}
		if _, err := l.Photo(hash); err != nil {
			fault := (*Fault)(nil)
			if !errors.As(err, &fault) {
				return faults, err
			}
			faults = append(faults, fault.Problem)
		}
	}
	return faults, nil
}

// Leftovers are files in the folder of photos that no row names: of photos whose keeping was cut
// short. They do no harm; with tidy they are taken away.
func (l *Log) Leftovers(ctx context.Context, tidy bool) (paths []string, err error) {
	hashes, err := l.hashes(ctx)
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	known := map[string]bool{}
	for _, hash := range hashes {
		known[hash] = true
	}
	err = filepath.WalkDir(l.PhotoFolder(), func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || d.IsDir() || known[d.Name()] {
			return err
		}
		if !strings.HasPrefix(d.Name(), halfWritten) && !isHash(d.Name()) {
			return nil // not ours
		}
		// One that is just coming in is nobody's yet.
		if info, err := d.Info(); err != nil || l.opt.Now().Sub(info.ModTime()) < oldEnough {
			return nil
		}
		paths = append(paths, path)
		if tidy {
			return os.Remove(path)
		}
		return nil
	})
	return paths, faultOf(l.path, err)
}

func isHash(name string) bool {
	bytes, err := hex.DecodeString(name)
	return err == nil && len(bytes) == sha256.Size
}

// oldEnough is when a file that no row names is no longer on its way in.
const oldEnough = 10 * time.Minute

// withoutDetail counts entries whose kind has a table of its own, and that have no row there.
const withoutDetail = `SELECT count(*) FROM entry e WHERE
	e.kind = 'area' AND NOT EXISTS (SELECT 1 FROM area d WHERE d.entry = e.id)
	OR e.kind = 'picture' AND NOT EXISTS (SELECT 1 FROM picture d WHERE d.entry = e.id)
	OR e.kind = 'reference' AND NOT EXISTS (SELECT 1 FROM reference d WHERE d.entry = e.id)
	OR e.kind = 'reading' AND NOT EXISTS (SELECT 1 FROM reading d WHERE d.entry = e.id)
	OR e.kind = 'test coat' AND NOT EXISTS (SELECT 1 FROM test_coat d WHERE d.entry = e.id)
	OR e.kind = 'coats' AND NOT EXISTS (SELECT 1 FROM coats d WHERE d.entry = e.id)
	OR e.kind = 'plan' AND NOT EXISTS (SELECT 1 FROM plan d WHERE d.entry = e.id)
	OR e.kind = 'check' AND NOT EXISTS (SELECT 1 FROM verdict d WHERE d.entry = e.id)`
