package logbook

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

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
			for i := range min(1000, *readings-1000*p) {
				note := ""
				if i%10 == 0 {
					note = fmt.Sprintf("looked at again after %d hours, somewhat darker at the left", rng.IntN(100))
				}
				if _, err := w.Add(Entry{Piece: name, Area: "frame", Note: note, Reading: readingOf(woodColour(rng))}); err != nil {
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
	b.Run("NearAll", func(b *testing.B) { // beside counting what lies in the same box, in turn with it
		n, finding, counting := 0, 0.0, 0.0
		for b.Loop() {
			near, start := woodColour(rng), time.Now()
			found, err := l.candidates(ctx, near, 0, 3)
			require.NoError(b, err)
			n, finding = n+len(found), finding+time.Since(start).Seconds()
			box, all := boxAround(near, 3), 0
			start = time.Now()
			require.NoError(b, l.db.QueryRow("SELECT count(*) FROM reading_near WHERE l1 >= ? AND l0 <= ? AND a1 >= ? AND a0 <= ? "+
				"AND b1 >= ? AND b0 <= ?", box.Low.L, box.High.L, box.Low.A, box.High.A, box.Low.B, box.High.B).Scan(&all))
			counting += time.Since(start).Seconds()
		}
		b.ReportMetric(float64(n)/float64(b.N), "found/op")
		b.ReportMetric(1000*finding/float64(b.N), "ms")
		b.ReportMetric(finding/counting, "×counting")
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
	for name, q := range map[string]Query{"FindText": {Text: "no such word", Limit: 50}, "FindTextOfMany": {Text: "frame", Limit: 50},
		"FindLatest": {Limit: 50}} {
		b.Run(name, func(b *testing.B) { // beside looking at every entry, in turn with it
			finding, looking := 0.0, 0.0
			for b.Loop() {
				start := time.Now()
				_, err := l.Find(ctx, q)
				require.NoError(b, err)
				finding += time.Since(start).Seconds()
				start = time.Now()
				_, err = oneByOne(l, q)
				require.NoError(b, err)
				looking += time.Since(start).Seconds()
			}
			b.ReportMetric(1000*finding/float64(b.N), "ms")
			b.ReportMetric(finding/looking, "×looking-at-all")
		})
	}
}

// oneByOne is Find without a colour as it would be without indexes: every entry is looked at.
func oneByOne(l *Log, q Query) ([]Entry, error) {
	where, args := q.where()
	return l.entries(context.Background(), "WHERE "+where+" ORDER BY +e.at DESC, +e.id DESC LIMIT ?", append(args, q.Limit)...)
}
