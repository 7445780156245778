package logbook

import (
	"cmp"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"huewright/internal/fault"
)

// TakeFound takes in what it knows in a folder of files that have lost their names, as a browser's file system finds them: logs with what
// their journals hold yet, photos by their hashes, and steps of drafts. What is here already stays as it is. The files stay, in a folder
// renamed by the day, so that they are taken in once. Where there is no such folder nothing is done.
func (l *Log) TakeFound(ctx context.Context, folder string) (done Imported, err error) {
	entries, err := os.ReadDir(folder)
	if os.IsNotExist(err) {
		return done, nil
	}
	if err != nil {
		return done, faultOf(folder, err)
	}
	var f foundFiles
	for _, e := range entries {
		if err := f.look(ctx, filepath.Join(folder, e.Name())); err != nil {
			return done, faultOf(folder, err)
		}
	}
	slices.SortStableFunc(f.drafts, func(a, b foundDraft) int { return a.Changed.Compare(b.Changed) })
	logs := f.logs
	if len(logs) == 0 {
		logs = []string{""} // drafts and photos alone
	}
	for _, log := range logs {
		// Whose a journal is does not stand in it: each is tried, and the log without one.
		for _, journal := range append([]string{""}, f.journals...) {
			some, err := l.takeFound(ctx, log, journal, &f)
			if err != nil && !fault.Is(err, "logbook.no-bundle", "logbook.export-newer") {
				return done, err
			}
			done.Rows += some.Rows
			done.Brought += some.Brought
			if log == "" {
				break
			}
		}
	}
	to := folder + l.opt.Now().Format("-2006-01-02-150405")
	return done, faultOf(folder, os.Rename(folder, to))
}

// foundFiles are files without names, told by what is in them.
type foundFiles struct {
	logs, journals []string
	photos         map[string]string // by hash
	drafts         []foundDraft
}

type foundDraft struct {
	ID      string
	Changed time.Time
	content []byte
}

// Source: SQLite, Database File Format, section 4.1, for the two beginnings of a journal.
const journalBegins, journalBeginsToo = 0x377f0682, 0x377f0683

// look tells what a file is. Each that is neither a log nor a journal may be a photo.
func (f *foundFiles) look(ctx context.Context, path string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if id, err := applicationIn(path); err == nil && (id == applicationID || id == 0) {
		f.logs = append(f.logs, path)
		return nil
	}
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostPhotoBytes {
		return err
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if len(data) >= 4 {
		if magic := binary.BigEndian.Uint32(data); magic == journalBegins || magic == journalBeginsToo {
			f.journals = append(f.journals, path)
			return nil
		}
	}
	d := foundDraft{content: data}
	if len(data) <= mostDraft && json.Unmarshal(data, &d) == nil && draftName.MatchString(fmt.Sprintf("%s.%08d.json", d.ID, 1)) {
		f.drafts = append(f.drafts, d)
		return nil
	}
	if f.photos == nil {
		f.photos = map[string]string{}
	}
	f.photos[HashOf(data)] = path
	return nil
}

// takeFound takes in a log with a journal, either of which may be "", with all drafts and photos that were found.
func (l *Log) takeFound(ctx context.Context, log, journal string, f *foundFiles) (done Imported, err error) {
	scratch, err := l.scratch()
	if err != nil {
		return done, faultOf(l.path, err)
	}
	defer func() { _ = os.RemoveAll(scratch) }()
	path := filepath.Join(scratch, bundleLog)
	for from, to := range map[string]string{log: path, journal: path + "-wal"} {
		if from == "" {
			continue
		}
		if err := copyFound(from, to); err != nil {
			return done, faultOf(to, err)
		}
	}
	steps := map[string]int{}
	for _, d := range f.drafts {
		steps[d.ID]++
		to := filepath.Join(DraftsOf(path), fmt.Sprintf("%s.%08d.json", d.ID, steps[d.ID]))
		if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
			return done, faultOf(to, err)
		}
		if err := os.WriteFile(to, d.content, fileMode); err != nil {
			return done, faultOf(to, err)
		}
	}
	if err := foundWhole(ctx, path); err != nil {
		return done, err
	}
	photo := func(hash string) ([]byte, error) {
		at, ok := f.photos[hash]
		if !ok {
			return nil, nil
		}
		return os.ReadFile(at)
	}
	return l.takeFolder(ctx, scratch, photo, ImportOptions{})
}

// foundWhole refuses a log that a journal of another time has spoilt. One that is not there is made.
func foundWhole(ctx context.Context, path string) error {
	there, err := Open(ctx, path, Options{Make: true})
	if err != nil {
		return wrong("logbook.no-bundle").Because(err)
	}
	faults, err := there.verifyTables(ctx)
	if closed := there.Close(); err != nil || len(faults) > 0 {
		return wrong("logbook.no-bundle").Because(cmp.Or(err, closed))
	}
	return nil
}

func copyFound(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	return kept.Write(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}
