package logbook

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// newLog makes an empty log whose clock goes on by a second each time it is looked at.
func newLog(t testing.TB) *Log {
	now := noon
	l, err := Open(context.Background(), filepath.Join(t.TempDir(), fileName), Options{Make: true, Now: func() time.Time {
		now = now.Add(time.Second)
		return now
	}})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

func write(t testing.TB, l *Log, do func(w *Writer) error) {
	t.Helper()
	require.NoError(t, l.Write(context.Background(), do))
}

func add(t testing.TB, l *Log, e Entry) (id int64) {
	t.Helper()
	write(t, l, func(w *Writer) (err error) {
		id, err = w.Add(e)
		return err
	})
	return id
}

var brownWash = Coating{Name: "brown wash", Kind: "wash", Family: "water", PutOn: "brushed", Batch: "March tin"}

// backup backs a log up whole.
func backup(t testing.TB, l *Log, to string) {
	t.Helper()
	done, err := l.Backup(context.Background(), to, false)
	require.NoError(t, err)
	require.Empty(t, done.Lacks)
}

func readingOf(c colour.Lab) *Reading { return &Reading{Of: "area", Lab: c, PlusMinus: 1.2} }

// fill puts one of everything into a log: a piece whose frame was read, coated and read again.
func fill(t testing.TB, l *Log) {
	minutes, degrees, humid := 5.0, 18.5, 55.0
	var ground int64
	put := func(w *Writer, e Entry) int64 {
		e.Piece = "music cabinet"
		id, err := w.Add(e)
		require.NoError(t, err)
		return id
	}
	write(t, l, func(w *Writer) error {
		_, err := w.Begin("music cabinet", "found in two parts")
		require.NoError(t, err)
		hash, err := w.KeepPhoto([]byte("as good as a photo"),
			PhotoFacts{Name: "/phone/front.jpg", TakenAt: "2026-03-14 11:58", Camera: "a phone"})
		require.NoError(t, err)
		run, err := w.Run("plan", "v1", []byte(`{"piece": "<&>"}`), []byte("{\n \"coats\": 3}"), map[string]string{"front.jpg": hash})
		require.NoError(t, err)
		put(w, Entry{Area: "frame", Facts: &AreaFacts{Wood: "ash", Cut: "flat-sawn", Surface: "sealed", Sanding: "150, 180", SquareMetres: 0.62}})
		put(w, Entry{Picture: &Picture{hash}, Run: run})
		put(w, Entry{Reference: &Reference{SHA256: hash, By: "chart", Patches: 24, LeftOut: 2.1, LeftOut95: 4.6}, Run: run})
		light := colour.Lab{L: 80, A: 3, B: 22}
		ground = put(w, Entry{Area: "frame", Run: run, Reading: &Reading{
			Of: "area", Lab: colour.Lab{L: 76.5, A: 4, B: 23.3}, PlusMinus: 3.8, Own: 0.3, Spread: 2.1, Pixels: 19800, SHA256: hash,
			Surface: "sealed", Light: &light, Dark: &colour.Lab{L: 71, A: 6, B: 25},
		}})
		put(w, Entry{Reading: &Reading{Of: "chip", Lab: colour.Lab{L: 39, A: 9.2, B: 16.7}, PlusMinus: 3.8, SHA256: hash,
			Coating: &brownWash}, Run: run})
		spot := put(w, Entry{Area: "frame", Run: run, Reading: readingOf(colour.Lab{L: 60.1, A: 10.5, B: 32})})
		put(w, Entry{Area: "frame", Run: run,
			TestCoat: &TestCoat{Coating: brownWash, Coats: 1, Share: 0.2, Ground: ground, Result: spot, Surface: "sealed"}})
		put(w, Entry{Area: "frame", Run: run, Plan: &Plan{
			Coats: 3, Low: 2, High: 4, Stack: Stack{{"brown wash", 3}}, Target: &colour.Lab{L: 42, A: 15, B: 21}, Before: 32.2, After: 2.2,
			Predictions: []Prediction{{Coating: brownWash, Laid: 1, Stack: Stack{{"brown wash", 1}},
				Lab: colour.Lab{L: 60, A: 10, B: 32}, PlusMinus: 4, Step: colour.Lab{L: -16, A: 6, B: 9}}},
		}})
		return nil
	})
	write(t, l, func(w *Writer) error { // another day
		after := put(w, Entry{Area: "frame",
			Reading: &Reading{Of: "area", Lab: colour.Lab{L: 59, A: 10.8, B: 31}, PlusMinus: 3.8, Stack: Stack{{"brown wash", 1}}}})
		put(w, Entry{Area: "frame", Note: "thin as milk", Coats: &Coats{
			Coating: brownWash, Coats: 1, Share: 0.2, ThinnedWith: "water", LaidBy: "brushed", WipedAfter: &minutes,
			Temperature: &degrees, Humidity: &humid, Ground: ground, Result: after,
		}})
		put(w, Entry{Area: "filled corner", Check: &Check{Says: "reads as this wood", Of100: 71, DeltaE: 0.9}})
		slip := put(w, Entry{Note: "the wron panel"})
		_, err := w.Withdraw(slip, "meant the frame")
		require.NoError(t, err)
		put(w, Entry{Note: "smells of beeswax"})
		return nil
	})
}

func TestTimelineTellsWhatWasWritten(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	all, err := l.Timeline(context.Background(), "Music Cabinet")
	require.NoError(t, err)
	var kinds []Kind
	for _, e := range all {
		kinds = append(kinds, e.Kind)
	}
	require.Equal(t, []Kind{kindArea, kindPicture, kindReference, kindReading, kindReading, kindReading, kindTestCoat, kindPlan,
		kindReading, kindCoats, kindCheck, kindNote, KindWithdrawal, kindNote}, kinds)
	require.Equal(t, 19800, all[3].Reading.Pixels)
	require.Equal(t, 80.0, all[3].Reading.Light.L)
	require.Equal(t, "brown wash", all[4].Reading.Coating.Name)
	require.Equal(t, "March tin", all[6].TestCoat.Batch)
	require.Equal(t, Stack{{"brown wash", 3}}, all[7].Plan.Stack)
	require.Equal(t, 18.5, *all[9].Coats.Temperature)
	require.Nil(t, all[9].Coats.Dried)
	require.Equal(t, 59.0, all[9].Coats.ResultColour.L)
	require.False(t, all[11].Stands())
	require.True(t, all[11].Withdrawn)
	require.Equal(t, all[11].ID, all[12].Replaces)
	run, err := l.Run(context.Background(), all[7].Run)
	require.NoError(t, err)
	require.JSONEq(t, `{"piece":"<&>"}`, string(run.Request))
	data, err := l.Photo(run.Photos["front.jpg"])
	require.NoError(t, err)
	require.Equal(t, "as good as a photo", string(data))
}

func TestRowsAreNeverRewritten(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	for _, table := range []string{"piece", "photo", "coating", "batch", "run", "run_photo", "entry", "area", "picture",
		"reference", "reading", "test_coat", "coats", "plan", "foreseen", "verdict"} {
		_, err := l.db.Exec("DELETE FROM " + table)
		require.ErrorContains(t, err, "never rewritten", table)
		var column string
		require.NoError(t, l.db.QueryRow("SELECT name FROM pragma_table_info(?) LIMIT 1", table).Scan(&column))
		_, err = l.db.Exec("UPDATE " + table + " SET " + column + " = " + column)
		require.ErrorContains(t, err, "never rewritten", table)
	}
}

func TestWhatIsWrongIsPutRightOnce(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	id := add(t, l, Entry{Piece: "music cabinet", Note: "two coats of wax"})
	add(t, l, Entry{Piece: "music cabinet", Note: "one coat of wax", Replaces: id})
	err := l.Write(context.Background(), func(w *Writer) error { _, err := w.Withdraw(id, ""); return err })
	require.True(t, fault.Is(err, "logbook.put-right"), "%v", err)
	err = l.Write(context.Background(), func(w *Writer) error { _, err := w.Withdraw(9999, ""); return err })
	require.True(t, fault.Is(err, "logbook.no-entry"), "%v", err)
	found, err := l.Find(context.Background(), Query{Text: "of wax"})
	require.NoError(t, err)
	require.Len(t, found, 1)
	require.Equal(t, "one coat of wax", found[0].Note)
}

func TestExportComesBackTheSame(t *testing.T) {
	l, other := newLog(t), newLog(t)
	fill(t, l)
	var first, second, third bytes.Buffer
	require.NoError(t, l.Export(context.Background(), &first))
	done, err := other.Import(context.Background(), bytes.NewReader(first.Bytes()), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Len(t, done.Photos, 1, "photos travel by backup")
	require.NoError(t, other.Export(context.Background(), &second))
	require.Equal(t, first.String(), second.String())
	again, err := other.Import(context.Background(), bytes.NewReader(first.Bytes()), ImportOptions{Strict: true})
	require.NoError(t, err)
	require.Zero(t, again.Rows)
	require.NoError(t, other.Export(context.Background(), &third))
	require.Equal(t, first.String(), third.String())
	figure.Report(t, "export and import", "the same %d bytes", first.Len())
	found, err := other.Find(context.Background(), Query{Near: &colour.Lab{L: 76, A: 4, B: 23}})
	require.NoError(t, err)
	require.Len(t, found, 1)
}

func TestLogsOfOneNameComeTogether(t *testing.T) {
	l, other := newLog(t), newLog(t)
	fill(t, l)
	fill(t, other)
	done := carry(t, l, other)
	require.Equal(t, []fault.Note{fault.Say("logbook.renamed", "piece", "music cabinet", "name", "music cabinet (2)")}, done.Renamed)
	all, err := other.Timeline(context.Background(), "music cabinet (2)")
	require.NoError(t, err)
	require.Len(t, all, 14)
	faults, err := other.Verify(context.Background())
	require.NoError(t, err)
	require.Empty(t, faults)
}

func TestWhatIsNoExportIsNotTakenIn(t *testing.T) {
	whole := newLog(t)
	fill(t, whole)
	var out bytes.Buffer
	require.NoError(t, whole.Export(context.Background(), &out))
	lines := bytes.SplitAfter(out.Bytes(), []byte("\n"))
	for name, text := range map[string][]byte{
		"nothing":         nil,
		"something else":  []byte("a,b,c\n1,2,3\n"),
		"cut off":         out.Bytes()[:out.Len()*2/3],
		"a line missing":  bytes.Join(append(append([][]byte{}, lines[:1]...), lines[2:]...), nil),
		"another column":  bytes.Replace(out.Bytes(), []byte(`"about"`), []byte(`"id) VALUES (1); --"`), 1),
		"another table":   bytes.Replace(out.Bytes(), []byte(`{"is":"piece"`), []byte(`{"is":"sqlite_schema"`), 1),
		"a wrong figure":  bytes.Replace(out.Bytes(), []byte(`"plus_minus":3.8`), []byte(`"plus_minus":-3.8`), 1),
		"a wrong uid":     bytes.Replace(out.Bytes(), []byte(`"uid":"0`), []byte(`"uid":"x`), 1),
		"a later version": bytes.Replace(out.Bytes(), []byte(`{"huewright_log":2`), []byte(`{"huewright_log":99`), 1),
	} {
		l := newLog(t)
		_, err := l.Import(context.Background(), bytes.NewReader(text), ImportOptions{Strict: true})
		require.Error(t, err, name)
		refused := fault.Is(err, "logbook.no-export", "logbook.export-newer", "logbook.export-refused", "logbook.export-cut")
		require.True(t, refused, "%s: %v", name, err)
		pieces, err := l.Pieces(context.Background())
		require.NoError(t, err)
		require.Empty(t, pieces, name)
	}
}

func TestBackupWhileWriting(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	stop, stopped := make(chan bool), make(chan int)
	go func() {
		n := 0
		for ; ; n++ {
			select {
			case <-stop:
				stopped <- n
				return
			default:
			}
			_ = l.Write(context.Background(), func(w *Writer) error {
				data := fmt.Appendf(nil, "photo %d", n)
				hash, err := w.KeepPhoto(data, PhotoFacts{Name: "p.jpg"})
				if err != nil {
					return err
				}
				_, err = w.Add(Entry{Piece: "music cabinet", Picture: &Picture{hash}})
				return err
			})
		}
	}()
	for i := range 5 {
		time.Sleep(20 * time.Millisecond)
		to := filepath.Join(t.TempDir(), fmt.Sprint(i), "copy.db")
		backup(t, l, to)
		copied, err := Open(context.Background(), to, Options{})
		require.NoError(t, err)
		faults, err := copied.Verify(context.Background())
		require.NoError(t, err)
		require.Empty(t, faults)
		pieces, err := copied.Pieces(context.Background())
		require.NoError(t, err)
		require.GreaterOrEqual(t, pieces[0].Entries, 14)
		require.NoError(t, copied.Close())
		_, err = l.Backup(context.Background(), to, false)
		require.True(t, fault.Is(err, "logbook.backup-taken"), "%v", err)
	}
	close(stop)
	require.Positive(t, <-stopped)
}

func TestPhotosAreLookedOver(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	hashes, err := l.hashes(context.Background())
	require.NoError(t, err)
	path, err := l.photoPath(hashes[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte("as good as a phOto"), 0o644))
	faults, err := l.Verify(context.Background())
	require.NoError(t, err)
	require.Len(t, faults, 1)
	require.Equal(t, fault.Code("logbook.photo-changed"), faults[0].Code)
	_, err = l.Photo("../../../etc/passwd")
	require.True(t, fault.Is(err, "logbook.no-photo"))
}

// Colours are found exactly as by looking at all of them.
func TestNearFindsWhatIsNear(t *testing.T) {
	l := newLog(t)
	rng := rand.New(rand.NewPCG(7, 7))
	all := map[int64]colour.Lab{}
	write(t, l, func(w *Writer) error {
		for range 4000 {
			c := colour.Lab{L: 100 * rng.Float64(), A: 60 * (rng.Float64() - 0.3), B: 80 * (rng.Float64() - 0.3)}
			id, err := w.Add(Entry{Reading: readingOf(c)})
			if err != nil {
				return err
			}
			all[id] = c
		}
		return nil
	})
	for range 40 {
		near := colour.Lab{L: 100 * rng.Float64(), A: 60 * (rng.Float64() - 0.3), B: 80 * (rng.Float64() - 0.3)}
		within := 8 * rng.Float64()
		var want int
		for _, c := range all {
			if colour.DeltaE2000(near, c) <= within {
				want++
			}
		}
		found, err := l.Find(context.Background(), Query{Near: &near, Within: within, Limit: 4000})
		require.NoError(t, err)
		require.Len(t, found, want)
		few, err := l.Find(context.Background(), Query{Near: &near, Within: within, Limit: 5})
		require.NoError(t, err)
		require.Equal(t, found[:min(5, want)], few[:min(5, want)])
	}
}

// TestBoxHoldsTheNear takes colours on the edge of what is near, all over what surfaces can be, blue
// too, and sees that the box holds them.
func TestBoxHoldsTheNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	tight := 0.0
	for range 20000 {
		c := colour.Lab{L: 100 * rng.Float64(), A: 200 * (rng.Float64() - 0.5), B: 200 * (rng.Float64() - 0.5)}
		within := []float64{0.25, 1, 3, 8}[rng.IntN(4)]
		b := boxAround(c, within)
		way := [3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		to := func(far float64) colour.Lab {
			return colour.Lab{L: c.L + far*way[0], A: c.A + far*way[1], B: c.B + far*way[2]}
		}
		low, high := 0.0, 200.0 // DeltaE grows along a way, but for small folds in the blue
		for range 60 {
			if mid := (low + high) / 2; colour.DeltaE2000(c, to(mid)) <= within {
				low = mid
			} else {
				high = mid
			}
		}
		e := to(low)
		if e.L < 0 || e.L > 100 {
			continue // no surface
		}
		require.True(t, e.L >= b.Low.L && e.L <= b.High.L && e.A >= b.Low.A && e.A <= b.High.A && e.B >= b.Low.B && e.B <= b.High.B,
			"%v is %v from %v, and not in %v", e, within, c, b)
		tight = max(tight, (e.B-c.B)/(b.High.B-c.B))
	}
	require.Greater(t, tight, 0.8, "the box is no wider than need be, where the formula is at its widest")
}
