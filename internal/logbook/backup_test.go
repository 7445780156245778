package logbook

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/contexttest"
	"huewright/internal/fault"
)

// draft puts a step of a draft beside a log, as the pages do.
func draft(t testing.TB, l *Log, id string, step int, content string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(l.DraftFolder(), folderMode))
	path := filepath.Join(l.DraftFolder(), fmt.Sprintf("%s.%08d.json", id, step))
	require.NoError(t, os.WriteFile(path, []byte(content), fileMode))
}

func draftsOf(t testing.TB, l *Log) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, l.drafts(context.Background(), func(s draftStep) error {
		all[s.name] = string(s.content)
		return nil
	}))
	return all
}

// photo is the only photo of a log that was filled, and where it lies.
func photo(t testing.TB, l *Log) (hash, path string) {
	t.Helper()
	hashes, err := l.hashes(context.Background())
	require.NoError(t, err)
	require.Len(t, hashes, 1)
	path, err = l.photoPath(hashes[0])
	require.NoError(t, err)
	return hashes[0], path
}

func exportOf(t testing.TB, l *Log) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, l.Export(context.Background(), &out))
	return out.String()
}

func requireWhole(t testing.TB, l *Log) {
	t.Helper()
	faults, err := l.Verify(context.Background())
	require.NoError(t, err)
	require.Empty(t, faults)
}

// later opens a log with a clock of days later, when nothing in it is on its way.
func later(t testing.TB, path string) *Log {
	t.Helper()
	l, err := Open(context.Background(), path, Options{Now: func() time.Time { return time.Now().AddDate(0, 0, 2) }})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

// The whole circle: a log with drafts is backed up, lost, and brought back; it says then what it said before.
func TestABackupBringsAllBack(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	hash, _ := photo(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh","Piece":{"photos":[{"file":"`+hash+`"}]}}`)
	draft(t, l, "abcdefgh", 2, `{"ID":"abcdefgh","Did":"drawing <frame>"}`)
	before, drafts := exportOf(t, l), draftsOf(t, l)
	require.Contains(t, before, `"is":"draft"`)
	to := filepath.Join(t.TempDir(), "stick", "log-2026-03-14.db")
	done, err := l.Backup(ctx, to, false)
	require.NoError(t, err)
	require.Equal(t, BackedUp{Photos: 1, Steps: 2}, done)

	copied, err := Open(ctx, to, Options{})
	require.NoError(t, err)
	requireWhole(t, copied)
	require.Equal(t, before, exportOf(t, copied))
	require.NoError(t, copied.Close())

	place := filepath.Join(t.TempDir(), "new", fileName)
	restored, err := Restore(ctx, to, place, false, nil)
	require.NoError(t, err)
	require.Empty(t, restored.Aside)
	back, err := Open(ctx, place, Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, back.Close()) }()
	requireWhole(t, back)
	require.Equal(t, before, exportOf(t, back))
	require.Equal(t, drafts, draftsOf(t, back))

	// By export too, but for the photo.
	other := newLog(t)
	_, err = other.Import(ctx, strings.NewReader(before), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Equal(t, before, exportOf(t, other))
	again, err := other.Import(ctx, strings.NewReader(before), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Zero(t, again.Rows)
}

// A photo that is gone or rotten stops no backup: the rest is kept, and it is named. The good one, added again, heals it.
func TestABackupGoesOnPastARottenPhoto(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	var more string
	write(t, l, func(w *Writer) (err error) {
		more, err = w.KeepPhoto([]byte("another photo"), PhotoFacts{Name: "side.jpg"})
		return err
	})
	rotten, err := l.photoPath(more)
	require.NoError(t, err)
	for code, harm := range map[fault.Code]func(string) error{
		"logbook.photo-changed": func(path string) error { return os.WriteFile(path, []byte("another phoTo"), fileMode) },
		"logbook.photo-gone":    os.Remove,
	} {
		require.NoError(t, harm(rotten))
		to := filepath.Join(t.TempDir(), "copy.db")
		done, err := l.Backup(ctx, to, false)
		require.NoError(t, err)
		require.Equal(t, 1, done.Photos)
		require.Len(t, done.Lacks, 1)
		require.Equal(t, code, done.Lacks[0].Code)
		copied, err := Open(ctx, to, Options{})
		require.NoError(t, err)
		all, err := copied.Timeline(ctx, "music cabinet")
		require.NoError(t, err)
		require.Len(t, all, 14)
		require.NoError(t, copied.Close())

		write(t, l, func(w *Writer) error {
			_, err := w.KeepPhoto([]byte("another photo"), PhotoFacts{Name: "side.jpg"})
			return err
		})
		requireWhole(t, l)
		done, err = l.Backup(ctx, to, true)
		require.NoError(t, err)
		require.Equal(t, BackedUp{Photos: 2}, done, "brought up to date")
	}
}

// A backup that was cut short has no name, and is gone on with; one that has a name is brought up to date when that is asked.
func TestABackupIsGoneOnWith(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh"}`)
	to := filepath.Join(t.TempDir(), "copy.db")
	contexttest.RequireStops(t, func(ctx context.Context) error {
		_, err := l.Backup(ctx, to, false)
		if err != nil {
			require.NoFileExists(t, to)
		}
		return err
	})
	_, err := l.Backup(context.Background(), to, false)
	require.True(t, fault.Is(err, "logbook.backup-taken"), "%v", err)

	add(t, l, Entry{Piece: "music cabinet", Note: "another day"})
	require.NoError(t, os.Remove(filepath.Join(l.DraftFolder(), "abcdefgh.00000001.json")))
	draft(t, l, "abcdefgh", 2, `{"ID":"abcdefgh","Did":"again"}`)
	_, err = l.Backup(context.Background(), to, true)
	require.NoError(t, err)
	copied, err := Open(context.Background(), to, Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, copied.Close()) }()
	require.Equal(t, exportOf(t, l), exportOf(t, copied))
	left, err := filepath.Glob(filepath.Join(filepath.Dir(to), halfWritten+"*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// Where a backup would share photos with a log, or is no backup, it is refused, and what is there stays.
func TestWhereABackupMayNotBe(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	folder := filepath.Dir(l.Path())
	text := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(text, []byte("no log"), 0o600))
	for code, to := range map[fault.Code]string{
		"logbook.backup-shares": stem(l.Path()) + ".bak", "logbook.backup-itself": l.Path(), "logbook.backup-folder": folder,
		"logbook.no-log": text,
	} {
		_, err := l.Backup(ctx, to, true)
		require.True(t, fault.Is(err, code), "%s: %v", to, err)
	}
	said, err := os.ReadFile(text)
	require.NoError(t, err)
	require.Equal(t, "no log", string(said))
	require.NoFileExists(t, stem(l.Path())+".bak")
	requireWhole(t, l)
	other := filepath.Join(folder, "log-2026-03-14.db")
	backup(t, l, other)
	_, err = Restore(ctx, other, l.Path(), false, nil)
	require.True(t, fault.Is(err, "logbook.restore-taken"), "%v", err)
	_, err = Restore(ctx, l.Path(), l.Path(), true, nil)
	require.True(t, fault.Is(err, "logbook.restore-itself"), "%v", err)
}

// damage overwrites pages in the middle of a log's file.
func damage(t *testing.T, path string) {
	t.Helper()
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	require.NoError(t, err)
	defer func() { require.NoError(t, file.Close()) }()
	for page := range int64(20) {
		_, err = file.WriteAt(bytes.Repeat([]byte{0xa5}, 4096), 4096*(page+1))
		require.NoError(t, err)
	}
}

// What is advised after damage loses nothing: the backup comes back, the damaged log is set aside whole, and photos that are
// newer than the backup outlive a tidying too.
func TestWhatIsAdvisedAfterDamageLosesNothing(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	to := filepath.Join(t.TempDir(), "copy.db")
	backup(t, l, to)
	var newer string
	write(t, l, func(w *Writer) (err error) {
		newer, err = w.KeepPhoto([]byte("newer than the backup"), PhotoFacts{Name: "side.jpg"})
		return err
	})
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh"}`)
	require.NoError(t, l.Close())
	damage(t, l.Path())
	torn, err := os.ReadFile(l.Path())
	require.NoError(t, err)

	restored, err := Restore(ctx, to, l.Path(), true, nil)
	require.NoError(t, err)
	aside := &Log{path: filepath.Join(restored.Aside, filepath.Base(l.Path()))}
	kept, err := os.ReadFile(aside.path)
	require.NoError(t, err)
	require.Equal(t, torn, kept)
	require.Len(t, draftsOf(t, aside), 1)
	there, err := aside.photoPath(newer)
	require.NoError(t, err)
	require.True(t, isWhole(there, newer))

	back := later(t, l.Path())
	requireWhole(t, back)
	loose, err := back.Loose(ctx)
	require.NoError(t, err)
	require.Len(t, loose.Unclaimed, 1)
	folder, err := back.Tidy(loose)
	require.NoError(t, err)
	require.True(t, isWhole(filepath.Join(folder, newer), newer), "moved, not deleted")
	loose, err = back.Loose(ctx)
	require.NoError(t, err)
	require.Equal(t, Loose{}, loose)
	requireWhole(t, back)
}

// Where the log is lost and its drafts are not, they are set aside: the backup may have other ones.
func TestDraftsOfALostLogAreSetAside(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh","Did":"before"}`)
	to := filepath.Join(t.TempDir(), "copy.db")
	backup(t, l, to)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh","Did":"after"}`)
	draft(t, l, "ijklmnop", 1, `{"ID":"ijklmnop"}`)
	drafts := draftsOf(t, l)
	require.NoError(t, l.Close())
	require.NoError(t, os.Remove(l.Path()))
	restored, err := Restore(ctx, to, l.Path(), false, nil)
	require.NoError(t, err)
	require.NotEmpty(t, restored.Aside)
	require.Equal(t, drafts, draftsOf(t, &Log{path: filepath.Join(restored.Aside, filepath.Base(l.Path()))}))
	require.Len(t, draftsOf(t, l), 1)
}

// Of the files of a folder one may go while the others are set aside.
func TestAFileThatGoesIsPassedOver(t *testing.T) {
	from, to := t.TempDir(), t.TempDir()
	for _, name := range []string{"a", "b"} {
		require.NoError(t, os.WriteFile(filepath.Join(from, name), []byte(name), fileMode))
	}
	require.NoError(t, eachFile(from, to, func(from, to string) error {
		if filepath.Base(from) == "a" {
			require.NoError(t, os.Remove(from))
		}
		return link(from, to)
	}))
	require.NoFileExists(t, filepath.Join(to, "a"))
	require.FileExists(t, filepath.Join(to, "b"))
	require.NoError(t, eachFile(filepath.Join(from, "none"), to, link))
}

// A log that another program has open is not replaced under it; closed, it is set aside with all that it has.
func TestALogInUseIsNotReplaced(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	to := filepath.Join(t.TempDir(), "copy.db")
	backup(t, l, to)
	add(t, l, Entry{Piece: "music cabinet", Note: "after the backup"})
	before := exportOf(t, l)
	_, err := Restore(ctx, to, l.Path(), true, nil)
	require.True(t, fault.Is(err, "logbook.in-use"), "%v", err)
	require.Equal(t, before, exportOf(t, l))
	require.NoError(t, l.Close())
	restored, err := Restore(ctx, to, l.Path(), true, nil)
	require.NoError(t, err)
	aside, err := Open(ctx, filepath.Join(restored.Aside, filepath.Base(l.Path())), Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, aside.Close()) }()
	require.Equal(t, before, exportOf(t, aside))
	requireWhole(t, aside)
}

// What programs left half written when they were ended goes; what may yet become whole stays.
func TestHalfWrittenFilesGo(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh"}`)
	_, path := photo(t, l)
	half := []string{
		filepath.Join(filepath.Dir(path), halfWritten+"123"), filepath.Join(l.DraftFolder(), halfWritten+"123"),
		filepath.Join(filepath.Dir(l.Path()), halfWritten+filepath.Base(l.Path())),
	}
	for _, path := range half {
		require.NoError(t, os.WriteFile(path, []byte("half"), fileMode))
	}
	now, err := Open(ctx, l.Path(), Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, now.Close()) }()
	loose, err := now.Loose(ctx)
	require.NoError(t, err)
	require.Empty(t, loose.Half, "they may be on their way")
	then := later(t, l.Path())
	loose, err = then.Loose(ctx)
	require.NoError(t, err)
	_, err = then.Tidy(loose)
	require.NoError(t, err)
	for _, path := range half {
		require.NoFileExists(t, path)
	}
	requireWhole(t, l)
}

// Drafts are looked over too: one that cannot be read, and one whose photo the log does not have.
func TestDraftsAreLookedOver(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh","Pie`)
	draft(t, l, "abcdefgh", 2, `{"ID":"abcdefgh","File":"`+strings.Repeat("0f", 32)+`"}`)
	faults, err := l.Verify(context.Background())
	require.NoError(t, err)
	require.Len(t, faults, 2)
	require.Equal(t, fault.Code("logbook.draft-unreadable"), faults[0].Code)
	require.Equal(t, fault.Code("logbook.draft-photo"), faults[1].Code)
	done, err := l.Backup(context.Background(), filepath.Join(t.TempDir(), "copy.db"), false)
	require.NoError(t, err)
	require.Equal(t, faults[:1], done.Lacks)
}

// A draft that went on otherwise in two logs comes in as another one, once.
func TestDraftsThatDifferBothStay(t *testing.T) {
	one, other := newLog(t), newLog(t)
	draft(t, one, "abcdefgh", 1, `{"ID":"abcdefgh","Did":"one"}`)
	draft(t, other, "abcdefgh", 1, `{"ID":"abcdefgh","Did":"other"}`)
	done := carry(t, one, other)
	require.Equal(t, 1, done.Rows)
	all := draftsOf(t, other)
	require.Len(t, all, 2)
	require.Equal(t, `{"ID":"abcdefgh","Did":"other"}`, all["abcdefgh.00000001.json"])
	require.Zero(t, carry(t, one, other).Rows)
	requireWhole(t, other)
}

// A log that is opened through a link is the same log, with its photos; and what was kept beside the link once comes home.
func TestALinkLeadsToTheSameLog(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	hash, path := photo(t, l)
	link := filepath.Join(t.TempDir(), "linked.db")
	if err := os.Symlink(l.Path(), link); err != nil {
		t.Skip("no links on this system")
	}
	// As an earlier version left it: the photo beside the link.
	beside := filepath.Join(PhotosOf(link), hash[:2], hash)
	require.NoError(t, os.MkdirAll(filepath.Dir(beside), 0o755))
	require.NoError(t, os.Rename(path, beside))
	linked, err := Open(ctx, link, Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, linked.Close()) }()
	real, err := filepath.EvalSymlinks(l.Path())
	require.NoError(t, err)
	require.Equal(t, real, linked.Path())
	requireWhole(t, linked)
	requireWhole(t, l)
	_, err = l.Backup(ctx, link, true)
	require.True(t, fault.Is(err, "logbook.backup-itself"), "%v", err)

	// A link to where no log is yet.
	far := filepath.Join(t.TempDir(), "far.db")
	dangling := filepath.Join(t.TempDir(), "dangling.db")
	require.NoError(t, os.Symlink(far, dangling))
	made, err := Open(ctx, dangling, Options{Make: true})
	require.NoError(t, err)
	fill(t, made)
	require.NoError(t, made.Close())
	require.DirExists(t, PhotosOf(far))
}

// What is kept is for its owner alone.
func TestWhatIsKeptIsItsOwners(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("Windows has other rights")
	}
	l, err := Open(context.Background(), filepath.Join(t.TempDir(), "deep", fileName), Options{Make: true})
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	fill(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh"}`)
	to := filepath.Join(filepath.Dir(l.Path()), "stick", "copy.db")
	backup(t, l, to)
	require.NoError(t, filepath.WalkDir(filepath.Dir(l.Path()), func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := d.Info()
		require.NoError(t, err)
		require.Zero(t, info.Mode().Perm()&0o077, "%s: %v", path, info.Mode())
		return nil
	}))
}

func TestAddresses(t *testing.T) {
	for path, want := range map[[2]string]string{
		{"linux", "/home/ada/log.db"}:                   "file:///home/ada/log.db?mode=ro",
		{"linux", `/home/a?b#c%20\d/log.db`}:            "file:///home/a%3Fb%23c%2520%5Cd/log.db?mode=ro",
		{"darwin", "/Users/ada/My Log/log.db"}:          "file:///Users/ada/My%20Log/log.db?mode=ro",
		{"windows", `C:\Users\Ada\My Log\log.db`}:       "file:///C:/Users/Ada/My%20Log/log.db?mode=ro",
		{"windows", `\\server\share\log.db`}:            "file:////server/share/log.db?mode=ro",
		{"windows", `D:\Werkstatt\Möbel #1\50%\log.db`}: "file:///D:/Werkstatt/M%C3%B6bel%20%231/50%25/log.db?mode=ro",
	} {
		require.Equal(t, want, addressOf(path[0], path[1], "mode=ro"), "%v", path)
	}
}
