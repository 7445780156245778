package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

func TestNoLogYet(t *testing.T) {
	_, err := Open(context.Background(), filepath.Join(t.TempDir(), "none.db"), Options{})
	require.True(t, fault.Is(err, "logbook.missing"), "%v", err)
	_, err = Open(context.Background(), t.TempDir(), Options{Make: true})
	require.True(t, fault.Is(err, "logbook.folder"), "%v", err)
}

func TestAnotherProgramsFile(t *testing.T) {
	folder := t.TempDir()
	foreign := filepath.Join(folder, "recipes.db")
	db, err := sql.Open(driver, foreign)
	require.NoError(t, err)
	_, err = db.Exec("CREATE TABLE recipe (name TEXT); INSERT INTO recipe VALUES ('soup')")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	text := filepath.Join(folder, "notes.txt")
	require.NoError(t, os.WriteFile(text, bytes.Repeat([]byte("no database at all. "), 500), 0o644))
	for _, path := range []string{foreign, text} {
		before, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, look := range []bool{false, true} {
			_, err = Open(context.Background(), path, Options{Make: !look, ReadOnly: look})
			require.True(t, fault.Is(err, "logbook.no-log"), "%v", err)
		}
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, before, after, "it is left as it was")
	}
}

func TestALaterVersion(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	_, err := l.db.Exec("PRAGMA user_version = 99")
	require.NoError(t, err)
	for _, look := range []bool{false, true} {
		_, err = Open(context.Background(), l.Path(), Options{ReadOnly: look})
		require.True(t, fault.Is(err, "logbook.newer"), "%v", err)
	}
}

// TestADamagedPage overwrites pages in the middle of a log, one after the other: whatever is asked of
// it then is answered or refused with advice, and nothing panics.
func TestADamagedPage(t *testing.T) {
	whole := newLog(t)
	fill(t, whole)
	for i := range 300 {
		add(t, whole, Entry{Piece: "music cabinet", Area: "frame", Note: fmt.Sprintf("note %d of many", i)})
	}
	copied := filepath.Join(t.TempDir(), "copy.db")
	backup(t, whole, copied)
	file, err := os.ReadFile(copied)
	require.NoError(t, err)
	const page = 4096
	told := 0
	for at := page; at+page <= len(file); at += page {
		damaged := filepath.Join(t.TempDir(), fileName)
		bad := bytes.Clone(file)
		copy(bad[at:at+page], bytes.Repeat([]byte{0xa5}, page))
		require.NoError(t, os.WriteFile(damaged, bad, 0o644))
		l, err := Open(context.Background(), damaged, Options{})
		if err == nil {
			var faults []fault.Note
			if faults, err = l.Verify(context.Background()); err == nil {
				require.NotEmpty(t, faults, "page %d", at/page)
				told++
			}
			_ = l.Export(context.Background(), &bytes.Buffer{})
			_, _ = l.Timeline(context.Background(), "music cabinet")
			_ = l.Close()
		}
		if err != nil {
			require.True(t, fault.Is(err, "logbook.damaged"), "page %d: %v", at/page, err)
			told++
		}
	}
	require.GreaterOrEqual(t, told, 20)
}

// TestTheDiskIsFull lets the database grow no further.
func TestTheDiskIsFull(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	l.db.SetMaxOpenConns(1)
	_, err := l.db.Exec("PRAGMA max_page_count = 120")
	require.NoError(t, err)
	kept := 0
	for err == nil {
		err = l.Write(context.Background(), func(w *Writer) error {
			_, err := w.Add(Entry{Piece: "music cabinet", Note: strings.Repeat("long ", 800)})
			return err
		})
		if err == nil {
			kept++
		}
		require.Less(t, kept, 10_000)
	}
	require.True(t, fault.Is(err, "logbook.full"), "%v", err)
	all, err := l.Timeline(context.Background(), "music cabinet")
	require.NoError(t, err)
	require.Len(t, all, 14+kept, "what was kept before is whole")
	faults, err := l.Verify(context.Background())
	require.NoError(t, err)
	require.Empty(t, faults)
}

// TestThePhotoFolderIsFull keeps photos on a file system of 1 MB.
func TestThePhotoFolderIsFull(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("small file systems are made on Linux only")
	}
	folder := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", folder).CombinedOutput(); err != nil {
		t.Skipf("no right to make a small file system: %s", out)
	}
	defer func() { _ = exec.Command("umount", folder).Run() }()
	l, err := Open(context.Background(), filepath.Join(folder, fileName), Options{Make: true})
	require.NoError(t, err)
	defer func() { _ = l.Close() }()
	keep := func(n int) error {
		return l.Write(context.Background(), func(w *Writer) error {
			_, err := w.KeepPhoto(bytes.Repeat([]byte{byte(n)}, 150_000), PhotoFacts{Name: "front.jpg"})
			return err
		})
	}
	n := 0
	for ; err == nil; n++ {
		require.Less(t, n, 100)
		err = keep(n)
	}
	require.True(t, fault.Is(err, "logbook.full"), "%v", err)
	hashes, err := l.hashes(context.Background())
	require.NoError(t, err)
	require.Len(t, hashes, n-1)
	faults, err := l.Verify(context.Background())
	require.NoError(t, err)
	require.Empty(t, faults)
	left, err := filepath.Glob(filepath.Join(l.PhotoFolder(), "*", halfWritten+"*"))
	require.NoError(t, err)
	require.Empty(t, left, "no half photo")
}

// writeWhereNothingMay is what a child does whose folder is read-only: it looks, which works, and
// writes, which says why not. It returns what is wrong with that.
func writeWhereNothingMay(path string) int {
	l, err := Open(context.Background(), path, Options{ReadOnly: true})
	if err != nil {
		fmt.Println("looking:", err)
		return 1
	}
	if all, err := l.Timeline(context.Background(), "music cabinet"); err != nil || len(all) != 14 {
		fmt.Println("looking:", len(all), err)
		return 1
	}
	_ = l.Close()
	l, err = Open(context.Background(), path, Options{Make: true})
	if err == nil {
		err = l.Write(context.Background(), func(w *Writer) error { return w.BeginOnce("another") })
	}
	if !fault.Is(err, "logbook.read-only") {
		fmt.Printf("writing: %T %v\n", err, err)
		return 1
	}
	_, err = Open(context.Background(), filepath.Join(filepath.Dir(path), "further", fileName), Options{Make: true})
	if !fault.Is(err, "logbook.read-only") {
		fmt.Printf("making: %T %v\n", err, err)
		return 1
	}
	return 0
}
