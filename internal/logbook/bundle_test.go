package logbook

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

// bundleOf is a log as one file.
func bundleOf(t testing.TB, l *Log) []byte {
	t.Helper()
	var out bytes.Buffer
	_, err := l.WriteBundle(context.Background(), &out, "log-2026-03-14")
	require.NoError(t, err)
	return out.Bytes()
}

func filledWithDraft(t testing.TB) *Log {
	t.Helper()
	l := newLog(t)
	fill(t, l)
	hash, _ := photo(t, l)
	draft(t, l, "abcdefgh", 1, `{"ID":"abcdefgh","Piece":{"photos":[{"file":"`+hash+`"}]}}`)
	return l
}

// Unpacked, it is what Backup makes: a log that opens, is whole and says the same. Taken in by an empty log, all of it is there, photos
// too; taken in twice, nothing comes twice.
func TestABundleIsABackupInOneFile(t *testing.T) {
	ctx, l := context.Background(), filledWithDraft(t)
	before := exportOf(t, l)
	data := bundleOf(t, l)
	require.True(t, IsBundle(data))
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	folder := t.TempDir()
	for _, entry := range archive.File {
		in, err := entry.Open()
		require.NoError(t, err)
		content, err := io.ReadAll(in)
		require.NoError(t, err)
		to := filepath.Join(folder, filepath.FromSlash(entry.Name))
		require.NoError(t, os.MkdirAll(filepath.Dir(to), folderMode))
		require.NoError(t, os.WriteFile(to, content, fileMode))
	}
	there, err := Open(ctx, filepath.Join(folder, "log-2026-03-14", "log.db"), Options{})
	require.NoError(t, err)
	requireWhole(t, there)
	require.Equal(t, before, exportOf(t, there))
	require.NoError(t, there.Close())

	other := newLog(t)
	done, err := other.TakeBundle(ctx, bytes.NewReader(data), int64(len(data)), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Equal(t, 1, done.Brought)
	require.Empty(t, done.Photos)
	require.Positive(t, done.Rows)
	require.Equal(t, before, exportOf(t, other))
	requireWhole(t, other)
	again, err := other.TakeBundle(ctx, bytes.NewReader(data), int64(len(data)), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Zero(t, again.Rows+again.Brought)
	noScratch(t, l)
	noScratch(t, other)
}

// noScratch makes sure that nothing half written lies beside a log.
func noScratch(t testing.TB, l *Log) {
	t.Helper()
	left, err := filepath.Glob(filepath.Join(filepath.Dir(l.path), halfWritten+"*"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// One that was cut short anywhere, or is something else, changes nothing, and says so.
func TestACutBundleChangesNothing(t *testing.T) {
	ctx, data := context.Background(), bundleOf(t, filledWithDraft(t))
	l := newLog(t)
	before := exportOf(t, l)
	cuts := [][]byte{nil, []byte("PK\x03\x04"), []byte("no archive"), bytes.Repeat([]byte("PK\x03\x04"), 3000)}
	for i := 1; i < 12; i++ {
		cuts = append(cuts, data[:len(data)*i/12])
	}
	for _, cut := range cuts {
		_, err := l.TakeBundle(ctx, bytes.NewReader(cut), int64(len(cut)), ImportOptions{})
		require.Equal(t, "logbook.no-bundle", string(fault.Of(err).Code))
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	require.NoError(t, addTo(w, "x/log.db", zip.Deflate, []byte("no log")))
	require.NoError(t, addTo(w, "x/log-bench/../../abcdefgh.00000001.json", zip.Deflate, []byte("{}")))
	require.NoError(t, w.Close())
	_, err := l.TakeBundle(ctx, bytes.NewReader(out.Bytes()), int64(out.Len()), ImportOptions{})
	require.Equal(t, "logbook.no-bundle", string(fault.Of(err).Code))
	require.Equal(t, before, exportOf(t, l))
	require.Empty(t, draftsOf(t, l))
	noScratch(t, l)
}

// The log and its drafts may have so many bytes together, however few each of them has.
func TestABundleHasASize(t *testing.T) {
	const each = 1000
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	require.NoError(t, addTo(w, "x/log.db", zip.Deflate, make([]byte, each)))
	for i := range 3 {
		require.NoError(t, addTo(w, fmt.Sprintf("x/log-bench/abcdefgh.0000000%d.json", i), zip.Deflate, make([]byte, each)))
	}
	require.NoError(t, w.Close())
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	_, err = unpack(context.Background(), archive, t.TempDir(), 4*each)
	require.NoError(t, err)
	_, err = unpack(context.Background(), archive, t.TempDir(), 4*each-1)
	require.Equal(t, "logbook.no-bundle", string(fault.Of(err).Code))
}

// A bundle whose log is damaged within is told as no saved log, and changes nothing: the log that takes it in is not said to be damaged.
// Where only what can be made anew is damaged, as an index, all of it is taken in.
func TestABundleOfADamagedLog(t *testing.T) {
	ctx, from := context.Background(), newLog(t)
	fill(t, from)
	copied := filepath.Join(t.TempDir(), fileName)
	_, err := from.db.Exec("VACUUM INTO ?", copied)
	require.NoError(t, err)
	whole, all := mustRead(t, copied), exportOf(t, from)
	refused := 0
	const page = 4096
	for at := page; at < len(whole); at += page {
		spoilt := bytes.Clone(whole)
		copy(spoilt[at:], bytes.Repeat([]byte{0xff}, page))
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		require.NoError(t, addTo(w, "x/log.db", zip.Deflate, spoilt))
		require.NoError(t, w.Close())
		l := newLog(t)
		before := exportOf(t, l)
		if _, err := l.TakeBundle(ctx, bytes.NewReader(out.Bytes()), int64(out.Len()), ImportOptions{Strict: true}); err == nil {
			require.Equal(t, all, exportOf(t, l))
		} else {
			refused++
			require.Equal(t, fault.Code("logbook.no-bundle"), fault.Of(err).Code)
			require.Equal(t, before, exportOf(t, l))
		}
		noScratch(t, l)
	}
	require.Greater(t, refused, 5)
}

// A photo whose bytes are not those of its name is left out and told; the log's own losses are told in the bundle.
func TestABundleTellsWhatItLacks(t *testing.T) {
	ctx, l := context.Background(), filledWithDraft(t)
	hash, path := photo(t, l)
	data := bundleOf(t, l)
	changed := bytes.Clone(data)
	at := bytes.Index(changed, mustRead(t, path))
	require.Positive(t, at)
	changed[at] ^= 1
	other := newLog(t)
	done, err := other.TakeBundle(ctx, bytes.NewReader(changed), int64(len(changed)), ImportOptions{})
	require.NoError(t, err)
	require.Equal(t, []string{hash}, done.Photos)
	require.Zero(t, done.Brought)

	require.NoError(t, os.Remove(path))
	var out bytes.Buffer
	told, err := l.WriteBundle(ctx, &out, "log")
	require.NoError(t, err)
	require.Len(t, told.Lacks, 1)
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	lacks, err := archive.Open("log/" + bundleLacks)
	require.NoError(t, err)
	text, err := io.ReadAll(lacks)
	require.NoError(t, err)
	require.Contains(t, string(text), "logbook.photo-gone")
}

func mustRead(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}

// Where it cannot be written to the end, that is an error, and nothing stays behind.
func TestABundleThatBreaksOff(t *testing.T) {
	l := filledWithDraft(t)
	for _, after := range []int{0, 100, 3000} {
		_, err := l.WriteBundle(context.Background(), &fullDisk{left: after}, "log")
		require.ErrorIs(t, err, errFull)
	}
	noScratch(t, l)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := l.WriteBundle(ctx, io.Discard, "log")
	require.ErrorIs(t, err, context.Canceled)
	noScratch(t, l)
}

var errFull = errors.New("full")

type fullDisk struct{ left int }

func (d *fullDisk) Write(p []byte) (int, error) {
	if d.left -= len(p); d.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestWhenTheLogWasSaved(t *testing.T) {
	now := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	l, err := Open(context.Background(), filepath.Join(t.TempDir(), fileName), Options{Make: true, Now: func() time.Time { return now }})
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	at, err := l.Saved()
	require.NoError(t, err)
	require.True(t, at.IsZero())
	require.NoError(t, l.MarkSaved())
	at, err = l.Saved()
	require.NoError(t, err)
	require.True(t, at.Equal(now))
	require.NoError(t, os.WriteFile(savedOf(l.path), []byte("yesterday, perhaps"), fileMode))
	at, err = l.Saved()
	require.NoError(t, err)
	require.True(t, at.IsZero())
	requireWhole(t, l)
}

// Whatever is sent as a bundle, a log that takes it in stays whole.
func FuzzTakeBundle(f *testing.F) {
	f.Add(bundleOf(f, filledWithDraft(f)))
	f.Add([]byte("PK\x05\x06" + strings.Repeat("\x00", 18)))
	f.Fuzz(func(t *testing.T, data []byte) {
		l := newLog(t)
		_, err := l.TakeBundle(context.Background(), bytes.NewReader(data), int64(len(data)), ImportOptions{})
		if err != nil && fault.Of(err) == nil {
			t.Fatal(err)
		}
		faults, err := l.Verify(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range faults {
			if n.Code != "logbook.photo-gone" && n.Code != "logbook.draft-photo" {
				t.Fatal(n)
			}
		}
		noScratch(t, l)
	})
}
