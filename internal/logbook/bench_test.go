package logbook

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// readings is how many readings the benchmarked log has: a million takes a minute or two to write.
var readings = flag.Int("readings", 100_000, "readings in the log that is benchmarked")

// woodColour is a colour as woods and stained woods have it.
func woodColour(rng *rand.Rand) colour.Lab {
	return colour.Lab{L: 20 + 70*rng.Float64(), A: 2 + 18*rng.Float64(), B: 5 + 30*rng.Float64()}
}

// BenchmarkLog measures a log of -readings readings, a thousand to a piece.
func BenchmarkLog(b *testing.B) {
	ctx, l := context.Background(), newLog(b)
	rng := rand.New(rand.NewPCG(1, 2))
	pieces := (*readings + 999) / 1000
	for p := range pieces {
		write(b, l, func(w *Writer) error {
			name := fmt.Sprintf("piece %d", p)
			if _, err := w.Begin(name, ""); err != nil {
				return err
			}
			for range min(1000, *readings-1000*p) {
				if _, err := w.Add(Entry{Piece: name, Area: "frame", Reading: readingOf(woodColour(rng))}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	b.Run("NearestFifty", func(b *testing.B) {
		for b.Loop() {
			near := woodColour(rng)
			_, err := l.Find(ctx, Query{Near: &near, Within: 3})
			require.NoError(b, err)
		}
	})
	b.Run("NearAll", func(b *testing.B) {
		n := 0
		for b.Loop() {
			found, err := l.candidates(ctx, woodColour(rng), 0, 3)
			require.NoError(b, err)
			n += len(found)
		}
		b.ReportMetric(float64(n)/float64(b.N), "found/op")
	})
	b.Run("Timeline", func(b *testing.B) {
		for b.Loop() {
			all, err := l.Timeline(ctx, fmt.Sprintf("piece %d", rng.IntN(pieces)))
			require.NoError(b, err)
			require.NotEmpty(b, all)
		}
	})
	b.Run("Add", func(b *testing.B) {
		for b.Loop() {
			add(b, l, Entry{Piece: "piece 0", Area: "frame", Reading: readingOf(woodColour(rng))})
		}
	})
	b.Run("List", func(b *testing.B) {
		for b.Loop() {
			_, err := l.Pieces(ctx)
			require.NoError(b, err)
		}
	})
	b.Run("FindText", func(b *testing.B) {
		for b.Loop() {
			_, err := l.Find(ctx, Query{Text: "no such word"})
			require.NoError(b, err)
		}
	})
}
