package logbook

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
)

func withdraw(t *testing.T, l *Log, id int64) (by int64) {
	t.Helper()
	write(t, l, func(w *Writer) (err error) {
		by, err = w.Withdraw(id, "")
		return err
	})
	return by
}

// stands reports whether an entry stands, by each way of asking: they must agree.
func stands(t *testing.T, l *Log, id int64) bool {
	t.Helper()
	ctx := context.Background()
	e, err := l.Entry(ctx, id)
	require.NoError(t, err)
	found, err := l.Find(ctx, Query{Piece: e.Piece, Limit: 1000})
	require.NoError(t, err)
	inFind := false
	for _, f := range found {
		inFind = inFind || f.ID == id
	}
	var inSQL int
	require.NoError(t, l.db.QueryRow("SELECT count(*) FROM entry e WHERE e.id = ? AND "+standing("e.id"), id).Scan(&inSQL))
	require.Equal(t, e.Stands(), inSQL == 1, "#%d", id)
	if e.Kind != KindWithdrawal {
		require.Equal(t, e.Stands(), inFind, "#%d", id)
	}
	return e.Stands()
}

// An undo that is undone gives back what it took away, as often as one likes; a label then has the coat, and what is learned
// from it too.
func TestAnUndoOfAnUndoGivesBack(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	fill(t, l)
	all, err := l.Timeline(ctx, "music cabinet")
	require.NoError(t, err)
	coat := all[9]
	require.NotNil(t, coat.Coats)
	coats := func() int {
		b, err := l.Board(ctx, "music cabinet", "frame")
		require.NoError(t, err)
		past, err := l.PastCoats(ctx, brownWash, "", 10)
		require.NoError(t, err)
		require.Equal(t, len(b.Coats)+1, len(past), "and the test coat")
		return len(b.Coats)
	}
	require.Equal(t, 1, coats())
	undo := withdraw(t, l, coat.ID)
	require.False(t, stands(t, l, coat.ID))
	require.Zero(t, coats())
	err = l.Write(ctx, func(w *Writer) error { _, err := w.Withdraw(coat.ID, ""); return err })
	require.True(t, fault.Is(err, "logbook.put-right"), "%v", err)
	require.Equal(t, undo, fault.Of(err).Values["by"], "what is advised works")
	for range 3 {
		require.NotZero(t, withdraw(t, l, undo))
		require.True(t, stands(t, l, coat.ID))
		require.False(t, stands(t, l, undo))
		require.Equal(t, 1, coats())
		undo = withdraw(t, l, coat.ID)
		require.False(t, stands(t, l, coat.ID))
		require.Zero(t, coats())
	}
}

// A replacement that is withdrawn brings back what it replaced; a replacement of a replacement brings nothing back.
func TestWhatWasReplacedComesBack(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	note := func(text string, instead int64) int64 {
		return add(t, l, Entry{Piece: "music cabinet", Note: text, Replaces: instead})
	}
	one := note("one coat of wax", 0)
	two := note("two coats of wax", one)
	three := note("three coats of wax", two)
	require.Equal(t, []bool{false, false, true}, []bool{stands(t, l, one), stands(t, l, two), stands(t, l, three)})
	withdraw(t, l, three)
	require.Equal(t, []bool{false, true, false}, []bool{stands(t, l, one), stands(t, l, two), stands(t, l, three)})
	undo := withdraw(t, l, two)
	require.Equal(t, []bool{true, false, false}, []bool{stands(t, l, one), stands(t, l, two), stands(t, l, three)})
	// It can be put right again, though its number was used for that before.
	four := note("four coats of wax", one)
	require.Equal(t, []bool{false, false, false, true}, []bool{stands(t, l, one), stands(t, l, two), stands(t, l, three), stands(t, l, four)})
	err := l.Write(context.Background(), func(w *Writer) error {
		_, err := w.Add(Entry{Piece: "music cabinet", Note: "x", Replaces: undo})
		return err
	})
	require.True(t, fault.Is(err, "logbook.no-withdrawal-instead"), "%v", err)
}

// Two logs grew from one and put the same entries right: they come together, the first stands, the second is kept.
func TestLogsThatPutTheSameRightComeTogether(t *testing.T) {
	ctx, a, b := context.Background(), newLog(t), newLog(t)
	fill(t, a)
	slip := add(t, a, Entry{Piece: "music cabinet", Note: "wrong"})
	read := add(t, a, Entry{Piece: "music cabinet", Area: "frame", Reading: readingOf(colour.Lab{L: 50, A: 8, B: 20})})
	carry(t, a, b)
	withdraw(t, a, slip)
	withdraw(t, b, slip)
	right := add(t, a, Entry{Piece: "music cabinet", Area: "frame", Replaces: read, Reading: readingOf(colour.Lab{L: 51, A: 8, B: 20})})
	add(t, b, Entry{Piece: "music cabinet", Area: "frame", Replaces: read, Reading: readingOf(colour.Lab{L: 52, A: 8, B: 20})})
	later := add(t, b, Entry{Piece: "music cabinet", Note: "written later"})

	done := carry(t, b, a)
	require.Equal(t, 2, done.Second)
	require.Empty(t, done.Refused)
	require.False(t, stands(t, a, slip))
	require.True(t, stands(t, a, right))
	all, err := a.Timeline(ctx, "music cabinet")
	require.NoError(t, err)
	notes := []string{}
	for _, e := range all {
		if e.Kind == kindNote && e.Stands() {
			notes = append(notes, e.Note)
		}
	}
	require.Equal(t, map[float64]bool{50: false, 51: true, 52: false}, lightnesses(t, a))
	require.Contains(t, notes, undoneToo)
	require.Contains(t, notes, "written later")
	require.NotZero(t, later)
	faults, err := a.Verify(ctx)
	require.NoError(t, err)
	require.Empty(t, faults)

	again := carry(t, b, a)
	require.Zero(t, again.Rows, "it comes in once")
	require.Zero(t, again.Second)

	// The other way round: there the other is the first, and stands; a third log has it as the one that it comes from.
	done = carry(t, a, b)
	require.Equal(t, 2, done.Second)
	require.Equal(t, map[float64]bool{50: false, 51: false, 52: true}, lightnesses(t, b))
	require.False(t, stands(t, b, slip))
	require.Zero(t, carry(t, a, b).Rows)
	require.Zero(t, carry(t, b, a).Second)
	require.Equal(t, map[float64]bool{50: false, 51: true, 52: false}, lightnesses(t, a))
	c := newLog(t)
	carry(t, a, c)
	require.Equal(t, map[float64]bool{50: false, 51: true, 52: false}, lightnesses(t, c))
}

// lightnesses are those of readings between 50 and 52, and whether they stand.
func lightnesses(t *testing.T, l *Log) map[float64]bool {
	all, err := l.Timeline(context.Background(), "music cabinet")
	require.NoError(t, err)
	readings := map[float64]bool{}
	for _, e := range all {
		if e.Reading != nil && e.Reading.Lab.L >= 50 && e.Reading.Lab.L <= 52 {
			readings[e.Reading.Lab.L] = e.Stands()
		}
	}
	return readings
}

// carry exports one log into another.
func carry(t *testing.T, from, to *Log) Imported {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, from.Export(context.Background(), &out))
	done, err := to.Import(context.Background(), bytes.NewReader(out.Bytes()), ImportOptions{})
	require.NoError(t, err)
	return done
}
