package logbook

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
)

// What cannot be read back does not come in: not at all where the import is strict; else without the line, and what hangs
// on it, and the rest is kept.
func TestWhatCannotBeReadBackDoesNotComeIn(t *testing.T) {
	ctx, whole := context.Background(), newLog(t)
	fill(t, whole)
	out := exportOf(t, whole)
	for name, change := range map[string][2]string{
		"a stack that is none":       {`"stack":[["brown wash",1]]`, `"stack":{}`},
		"a stack of no coats":        {`"stack":[["brown wash",1]]`, `"stack":[["brown wash",-1]]`},
		"a stack beyond all figures": {`"stack":[["brown wash",1]]`, `"stack":[["brown wash",1e300]]`},
		"test coats beyond all":      {`"coats":1,"share":0.2,"ground"`, `"coats":1e300,"share":0.2,"ground"`},
		"a date that is none":        {`"noted_at":"2026-03-14T`, `"noted_at":"2026-13-54T`},
		"letters for a date":         {`"at":"2026-03-14T12:00:02.000Z"`, `"at":"abcd-ef-ghTij:kl:mn.opqZ"`},
		"coats of another kind":      {`"kind":"coats"`, `"kind":"note"`},
		"a foreseen colour":          {`"l":60,"a":10`, `"l":1e308,"a":10`},
		"a nought in a name":         {`"found in two parts"`, `"found\u0000"`},
	} {
		require.True(t, strings.Contains(out, change[0]), name)
		text := strings.Replace(out, change[0], change[1], 1)
		_, err := newLog(t).Import(ctx, strings.NewReader(text), ImportOptions{Strict: true})
		require.True(t, fault.Is(err, "logbook.export-refused", "logbook.export-cut"), "%s: %v", name, err)

		l := newLog(t)
		done, err := l.Import(ctx, strings.NewReader(text), ImportOptions{})
		require.NoError(t, err, name)
		require.NotEmpty(t, done.Refused, name)
		if name != "a nought in a name" { // all hangs on the piece
			all, err := l.Timeline(ctx, "music cabinet")
			require.NoError(t, err, name)
			require.NotEmpty(t, all, name)
		}
		readAll(t, l)
	}
}

// readAll asks a log for all that it can be asked.
func readAll(t testing.TB, l *Log) {
	t.Helper()
	ctx := context.Background()
	faults, err := l.Verify(ctx)
	require.NoError(t, err)
	for _, f := range faults {
		require.Equal(t, fault.Code("logbook.photo-gone"), f.Code, "photos come by another way")
	}
	pieces, err := l.Pieces(ctx)
	require.NoError(t, err)
	for _, p := range pieces {
		all, err := l.Timeline(ctx, p.Name)
		require.NoError(t, err)
		for _, e := range all {
			require.False(t, e.At.IsZero())
			require.Equal(t, e.Kind != kindNote && e.Kind != KindWithdrawal, e.details() == 1, "#%d", e.ID)
			_, err = l.Board(ctx, p.Name, e.Area)
			require.True(t, err == nil || fault.Is(err, "logbook.no-area"), "%v", err)
			_, err = l.Drift(ctx, p.Name, e.Area)
			require.True(t, err == nil || fault.Is(err, "logbook.no-reading"), "%v", err)
		}
	}
	_, err = l.Find(ctx, Query{})
	require.NoError(t, err)
	_, err = l.Find(ctx, Query{Near: &colour.Lab{L: 60, A: 10, B: 30}, Within: 40})
	require.NoError(t, err)
	_, err = l.Outcomes(ctx)
	require.NoError(t, err)
	_, err = l.Counts(ctx)
	require.NoError(t, err)
	_, err = l.Coatings(ctx)
	require.NoError(t, err)
	_, err = l.PastCoats(ctx, brownWash, "", 10)
	require.NoError(t, err)
	require.NoError(t, l.Export(ctx, &bytes.Buffer{}))
}

// An export that is cut off gives what is whole in it.
func TestAnExportThatIsCutOff(t *testing.T) {
	whole := newLog(t)
	fill(t, whole)
	out := exportOf(t, whole)
	for _, share := range []float64{0.3, 0.6, 0.9} {
		l := newLog(t)
		done, err := l.Import(context.Background(), strings.NewReader(out[:int(share*float64(len(out)))]), ImportOptions{})
		require.NoError(t, err)
		require.NotEmpty(t, done.Refused)
		readAll(t, l)
		done, err = l.Import(context.Background(), strings.NewReader(out), ImportOptions{Strict: true})
		require.NoError(t, err, "and the rest comes in later")
		require.Positive(t, done.Rows)
		readAll(t, l)
	}
}

// A line that is too long is left out alone: what follows it comes in.
func TestALineThatIsTooLong(t *testing.T) {
	whole, l := newLog(t), newLog(t)
	fill(t, whole)
	head, rest, _ := strings.Cut(exportOf(t, whole), "\n")
	long := `{"is":"photo","name":"` + strings.Repeat("x", mostLine) + `"}`
	done, err := l.Import(context.Background(), strings.NewReader(head+"\n"+long+"\n"+rest), ImportOptions{})
	require.NoError(t, err)
	require.Len(t, done.Refused, 1)
	require.Equal(t, strings.Count(rest, "\n"), done.Rows)
}

// A file that cannot be read to its end is no fault of the export, and nothing of it is kept.
func TestAnExportOnAFailingDisk(t *testing.T) {
	whole, l := newLog(t), newLog(t)
	fill(t, whole)
	failing := struct {
		io.Reader
		io.Seeker
	}{Reader: io.MultiReader(strings.NewReader(exportOf(t, whole)), iotest.ErrReader(errors.New("unplugged")))}
	_, err := l.Import(context.Background(), failing, ImportOptions{})
	require.True(t, fault.Is(err, "logbook.disk"), "%v", err)
	pieces, err := l.Pieces(context.Background())
	require.NoError(t, err)
	require.Empty(t, pieces)
}

// That the log cannot tell the columns of a table is no fault of the line.
func TestAColumnThatCannotBeLookedUp(t *testing.T) {
	l := newLog(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	err := l.Write(ctx, func(w *Writer) error {
		cancel()
		in := &importer{Writer: w, columns: map[string][]string{}}
		_, err := in.column("piece", "name")
		return err
	})
	require.ErrorIs(t, err, context.Canceled)
}
