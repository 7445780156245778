package logbook

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
)

func TestPastCoatsAreFound(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	past, err := l.PastCoats(ctx, brownWash, "", 10)
	require.NoError(t, err)
	require.Len(t, past, 2, "one on the piece, one for trial")
	require.True(t, past[0].OnPiece)
	require.Equal(t, "ash", past[0].Wood)
	require.Equal(t, 59.0, past[0].Result.L)
	require.Equal(t, "March tin", past[0].Batch)
	none, err := l.PastCoats(ctx, brownWash, "MUSIC cabinet", 10)
	require.NoError(t, err)
	require.Empty(t, none, "not of the piece itself")
	wiped := brownWash
	wiped.PutOn = "wiped"
	none, err = l.PastCoats(ctx, wiped, "", 10)
	require.NoError(t, err)
	require.Empty(t, none, "what is wiped off builds otherwise")
	unknown := brownWash
	unknown.Family = ""
	past, err = l.PastCoats(ctx, unknown, "", 10)
	require.NoError(t, err)
	require.Len(t, past, 2, "a family that is not said is no other family")
	chips, err := l.PastChips(ctx, brownWash, "", 10)
	require.NoError(t, err)
	require.Len(t, chips, 1)
	require.Equal(t, 39.0, chips[0].Lab.L)
	// A ground that is put right takes what lay on it along.
	write(t, l, func(w *Writer) error {
		ground, err := w.Standing("music cabinet")
		require.NoError(t, err)
		for _, e := range ground {
			if e.Reading != nil && e.Reading.Pixels == 19800 {
				_, err = w.Withdraw(e.ID, "")
			}
		}
		return err
	})
	past, err = l.PastCoats(ctx, brownWash, "", 10)
	require.NoError(t, err)
	require.Empty(t, past)
}

func TestRelativeColoursTellOnlyBesideOthersOfTheirPhoto(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	write(t, l, func(w *Writer) error {
		_, err := w.Begin("desk", "")
		require.NoError(t, err)
		one, err := w.KeepPhoto([]byte("one"), PhotoFacts{Name: "one.jpg"})
		require.NoError(t, err)
		two, err := w.KeepPhoto([]byte("two"), PhotoFacts{Name: "two.jpg"})
		require.NoError(t, err)
		read := func(hash string) int64 {
			id, err := w.Add(Entry{Piece: "desk", Reading: &Reading{Of: "ground", Lab: colour.Lab{L: 50}, SHA256: hash, Relative: true}})
			require.NoError(t, err)
			return id
		}
		for _, pair := range [][2]string{{one, one}, {one, two}} {
			_, err := w.Add(Entry{Piece: "desk",
				TestCoat: &TestCoat{Coating: brownWash, Coats: 1, Share: 0.2, Ground: read(pair[0]), Result: read(pair[1])}})
			require.NoError(t, err)
		}
		return nil
	})
	past, err := l.PastCoats(ctx, brownWash, "", 10)
	require.NoError(t, err)
	require.Len(t, past, 1)
	require.NotEmpty(t, past[0].Photo)
}

func TestOutcomesHoldForecastsAgainstReadings(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	all, err := l.Outcomes(ctx)
	require.NoError(t, err)
	require.Len(t, all, 1)
	o := all[0]
	require.Equal(t, colour.Lab{L: 60, A: 10, B: 32}, o.Predicted)
	require.Equal(t, colour.Lab{L: 59, A: 10.8, B: 31}, o.Measured)
	require.InDelta(t, 5.52, o.PlusMinus, 0.01, "√(4² + 3.8²)")
	require.True(t, o.Within())
	// A reading under other coats than were foreseen is no outcome; nor one before the plan.
	add(t, l, Entry{Piece: "music cabinet", Area: "frame",
		Reading: &Reading{Of: "area", Lab: colour.Lab{L: 40}, Stack: Stack{{"brown wash", 7}}}})
	add(t, l, Entry{Piece: "music cabinet", Area: "frame", At: noon.AddDate(0, -1, 0),
		Reading: &Reading{Of: "area", Lab: colour.Lab{L: 40}, Stack: Stack{{"brown wash", 1}}}})
	all, err = l.Outcomes(ctx)
	require.NoError(t, err)
	require.Len(t, all, 1)
	habit, pieces, err := l.Bias(ctx, "Music Cabinet")
	require.NoError(t, err)
	require.Zero(t, pieces, "a piece's own outcomes are evidence there, and count once")
	require.Zero(t, habit.Film)
}

func TestCountsOfAreasThatAreDone(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	counts, err := l.Counts(ctx)
	require.NoError(t, err)
	require.Empty(t, counts, "the frame is not done")
	add(t, l, Entry{Piece: "music cabinet", Area: "frame", Plan: &Plan{Stack: Stack{{"brown wash", 2}, {"glaze", 1}}}})
	counts, err = l.Counts(ctx)
	require.NoError(t, err)
	require.Len(t, counts, 1)
	require.Equal(t, [4]int{3, 2, 4, 3}, [4]int{counts[0].Suggested, counts[0].Low, counts[0].High, counts[0].Laid})
}

func TestBoardAndDrift(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	b, err := l.Board(ctx, "music cabinet", "frame")
	require.NoError(t, err)
	require.Equal(t, "flat-sawn", b.Facts.Cut)
	require.Len(t, b.Coats, 1)
	require.Equal(t, 76.5, b.Before.Lab.L)
	require.Equal(t, 59.0, b.After.Lab.L)
	_, err = l.Board(ctx, "music cabinet", "lid")
	require.True(t, fault.Is(err, "logbook.no-area"))
	points, err := l.Drift(ctx, "music cabinet", "frame")
	require.NoError(t, err)
	require.Len(t, points, 3)
	_, err = l.Drift(ctx, "music cabinet", "lid")
	require.True(t, fault.Is(err, "logbook.no-reading"))
}

func TestPlace(t *testing.T) {
	env := func(pairs ...string) func(string) string {
		return func(name string) string {
			for i := 0; i < len(pairs); i += 2 {
				if pairs[i] == name {
					return pairs[i+1]
				}
			}
			return ""
		}
	}
	given, err := Place("here.db", env(placeVariable, "there.db"))
	require.NoError(t, err)
	require.Equal(t, "here.db", given)
	said, err := Place("", env(placeVariable, "there.db"))
	require.NoError(t, err)
	require.Equal(t, "there.db", said)
	for system, want := range map[string]string{
		"linux": "/home/ada/.local/share", "darwin": "/home/ada/Library/Application Support", "windows": `C:\Local`,
	} {
		folder, err := dataFolder(system, env("HOME", "/home/ada", "LocalAppData", `C:\Local`))
		require.NoError(t, err)
		require.Equal(t, want, filepath.ToSlash(folder), system)
	}
	folder, err := dataFolder("linux", env("HOME", "/home/ada", "XDG_DATA_HOME", "/data"))
	require.NoError(t, err)
	require.Equal(t, "/data", folder)
	folder, err = dataFolder("linux", env("HOME", "/home/ada", "XDG_DATA_HOME", "data"))
	require.NoError(t, err)
	require.Equal(t, "/home/ada/.local/share", filepath.ToSlash(folder), "paths there must be absolute")
}

func TestCSV(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	add(t, l, Entry{Piece: "music cabinet", Note: `=HYPERLINK("x"), "quoted"`})
	folder := filepath.Join(t.TempDir(), "tables")
	names, err := l.ExportCSV(ctx, folder, false)
	require.NoError(t, err)
	require.Len(t, names, len(exported)+1, "and the drafts")
	entries, err := os.ReadFile(filepath.Join(folder, "entry.csv"))
	require.NoError(t, err)
	require.Equal(t, 16, strings.Count(string(entries), "\n"), "a head and 15 entries")
	require.Contains(t, string(entries), `"'=HYPERLINK(""x""), ""quoted"""`)
	_, err = l.ExportCSV(ctx, folder, false)
	require.True(t, fault.Is(err, "logbook.folder-taken"), "it writes over nothing")
	_, err = l.ExportCSV(ctx, folder, true)
	require.NoError(t, err)
}

func TestFindByWords(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	for want, q := range map[string]Query{
		"smells of beeswax": {Text: "BEESWAX"},
		"thin as milk":      {Coating: "brown", Kind: kindCoats},
		"":                  {Wood: "ash", Of: "area", Until: noon.AddDate(1, 0, 0), Since: noon},
	} {
		found, err := l.Find(ctx, q)
		require.NoError(t, err)
		require.NotEmpty(t, found, fmt.Sprint(q))
		require.Equal(t, want, found[0].Note)
	}
	for _, q := range []Query{{Text: "100%"}, {Wood: "oak"}, {Since: noon.AddDate(1, 0, 0)}, {Piece: "nothing"}} {
		found, err := l.Find(ctx, q)
		require.NoError(t, err)
		require.Empty(t, found, fmt.Sprint(q))
	}
	_, err := l.Find(ctx, Query{Near: &colour.Lab{}, Within: 1000})
	require.True(t, fault.Is(err, "logbook.within"))
}
