package logbook

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

// FuzzImport takes in exports that were tampered with: they are refused whole, or line by line, and what came in is sound
// and goes out again.
func FuzzImport(f *testing.F) {
	whole := newLog(f)
	fill(f, whole)
	var out bytes.Buffer
	require.NoError(f, whole.Export(context.Background(), &out))
	f.Add(out.Bytes())
	draft(f, whole, "abcdefgh", 1, `{"ID":"abcdefgh"}`)
	f.Add([]byte(exportOf(f, whole)))
	lines := bytes.SplitAfter(out.Bytes(), []byte("\n"))
	f.Add(bytes.Join(lines[:4], nil))
	f.Add([]byte(`{"huewright_log":1,"schema":1}` + "\n" +
		`{"is":"piece","uid":"01a212c4462e75ca8635822ff9653056","name":"x","begun_at":"2026-11-25T12:53:02.637Z"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l := newLog(t)
		if _, err := l.Import(context.Background(), bytes.NewReader(data), ImportOptions{Strict: true}); err != nil {
			pieces, err := l.Pieces(context.Background())
			require.NoError(t, err)
			require.Empty(t, pieces, "nothing of it was taken in")
		}
		readAll(t, l)
		lenient := newLog(t)
		_, err := lenient.Import(context.Background(), bytes.NewReader(data), ImportOptions{})
		require.True(t, err == nil || fault.Is(err, "logbook.no-export", "logbook.export-newer"), "%v", err)
		readAll(t, lenient)
	})
}
