package logbook

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

// Whatever text is looked for, by index or one by one, the same entries come in the same order: those that stand, and those put right, in
// notes and names of every kind.
func TestTextIsFoundAsOneByOne(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	rng := rand.New(rand.NewPCG(3, 5))
	letters := []string{"a", "b", "A", "ä", "Ä", "ß", " ", "%", "_", `\`, `"`, "'", "*", "-", "日", "🪵", "\x00", "\xff",
		"no", "AND", "wax"}
	text := func(most int) string {
		var b strings.Builder
		for range 1 + rng.IntN(most) {
			b.WriteString(letters[rng.IntN(len(letters))])
		}
		return b.String()
	}
	write(t, l, func(w *Writer) error {
		for i := range 300 {
			e := Entry{Piece: "music cabinet", Note: "." + text(30), Area: strings.ToValidUTF8(strings.ReplaceAll(text(3), "\x00", ""), "")}
			switch i % 6 {
			case 1:
				e.Facts = &AreaFacts{Wood: text(6)}
			case 2:
				e.Reading = readingOf(colour.Lab{L: 50})
				e.Reading.Coating = &Coating{Name: "chip " + text(4), Kind: "wash"}
			case 3:
				e.Reading = readingOf(colour.Lab{L: 40})
				e.Reading.Stack = []Layer{{Coating: "wash " + text(4), Coats: 1}}
			}
			id, err := w.Add(e)
			require.NoError(t, err)
			if i%9 == 0 {
				_, err = w.Withdraw(id, "not so")
				require.NoError(t, err)
			}
		}
		return nil
	})
	found := 0
	for i := range 400 {
		q := Query{Text: text(5), Limit: 40}
		if i%4 == 0 {
			q.Kind = kindNote
		}
		if i < 4 {
			q.Text = []string{"ash", "brown", "music", "frame"}[i]
		}
		want, err := oneByOne(l, q)
		require.NoError(t, err)
		got, err := l.Find(ctx, q)
		require.NoError(t, err)
		require.Len(t, got, len(want), "%q", q.Text)
		for k := range want {
			require.Equal(t, want[k], got[k].Entry, "%q", q.Text)
		}
		found += len(want)
	}
	require.Greater(t, found, 1000)
	faults, err := l.Verify(ctx)
	require.NoError(t, err)
	require.Empty(t, faults)
}

// A note that the index lacks is told.
func TestNotesThatWordsDoNotFindAreTold(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	_, err := l.db.Exec("DROP TRIGGER entry_note_text")
	require.NoError(t, err)
	add(t, l, Entry{Piece: "music cabinet", Note: "nobody will find this"})
	faults, err := l.Verify(ctx)
	require.NoError(t, err)
	require.Len(t, faults, 1)
	require.Equal(t, fault.Code("logbook.notes-lost"), faults[0].Code)
}

// A log of the version before is brought up to date whole or not at all, whenever the program that does it is killed.
func TestKilledWhileBroughtUpToDate(t *testing.T) {
	if runtime.GOOS == "js" {
		t.Skip("there are no processes in a browser")
	}
	ctx, path := context.Background(), filepath.Join(t.TempDir(), fileName)
	old, err := Open(ctx, path, Options{Make: true, steps: steps[:2]})
	require.NoError(t, err)
	write(t, old, func(w *Writer) error {
		for i := range 3000 {
			if _, err := w.Add(Entry{Note: fmt.Sprintf("note %d of many, each of them about a board that was sanded", i)}); err != nil {
				return err
			}
		}
		return nil
	})
	require.NoError(t, old.Close())
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	start := func() (*exec.Cmd, string) {
		path := filepath.Join(t.TempDir(), fileName)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		cmd := child(t, "open", path)
		require.NoError(t, cmd.Start())
		return cmd, path
	}
	begun := time.Now()
	whole, _ := start()
	require.NoError(t, whole.Wait())
	takes := time.Since(begun)
	for run := range figure.Draws(6, 60) {
		cmd, path := start()
		time.Sleep(rand.N(takes)) // the moments need not be the same each time
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		l, err := Open(ctx, path, Options{})
		require.NoError(t, err, "run %d", run)
		faults, err := l.Verify(ctx)
		require.NoError(t, err)
		require.Empty(t, faults)
		found, err := l.Find(ctx, Query{Text: "2999 OF MANY"})
		require.NoError(t, err)
		require.Len(t, found, 1)
		require.NoError(t, l.Close())
	}
}
