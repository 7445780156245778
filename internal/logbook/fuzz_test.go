package logbook

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzImport takes in exports that were tampered with: they are refused whole, or what came in is sound
// and goes out again.
func FuzzImport(f *testing.F) {
	whole := newLog(f)
	fill(f, whole)
	var out bytes.Buffer
	require.NoError(f, whole.Export(context.Background(), &out))
	f.Add(out.Bytes())
	lines := bytes.SplitAfter(out.Bytes(), []byte("\n"))
	f.Add(bytes.Join(lines[:4], nil))
	f.Add([]byte(`{"huewright_log":1,"schema":1}` + "\n" +
		`{"is":"piece","uid":"01a212c4462e75ca8635822ff9653056","name":"x","begun_at":"2026-11-25T12:53:02.637Z"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l := newLog(t)
		if _, err := l.Import(context.Background(), bytes.NewReader(data)); err != nil {
			pieces, err := l.Pieces(context.Background())
			require.NoError(t, err)
			require.Empty(t, pieces, "nothing of it was taken in")
			return
		}
		faults, err := l.Verify(context.Background())
		require.NoError(t, err)
		for _, fault := range faults {
			require.Contains(t, fault, "photo", "photos come by another way")
		}
		require.NoError(t, l.Export(context.Background(), &bytes.Buffer{}))
		_, err = l.Find(context.Background(), Query{})
		require.NoError(t, err)
	})
}
