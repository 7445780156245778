package logbook

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
)

// A label's last colour is one that was read after the last coat, or none: not that of the coat before.
func TestALabelTellsWhatCameAfterTheCoat(t *testing.T) {
	ctx, l := context.Background(), newLog(t)
	board := func() *Board {
		b, err := l.Board(ctx, "music cabinet", "frame")
		require.NoError(t, err)
		return b
	}
	coat := func() int64 {
		return add(t, l, Entry{Piece: "music cabinet", Area: "frame", Coats: &Coats{Coating: brownWash, Coats: 1, Share: 0.2}})
	}
	read := func(lightness float64, coats float64) {
		r := readingOf(colour.Lab{L: lightness, A: 8, B: 20})
		if coats > 0 {
			r.Stack = Stack{{"brown wash", coats}}
		}
		add(t, l, Entry{Piece: "music cabinet", Area: "frame", Reading: r})
	}
	write(t, l, func(w *Writer) error { _, err := w.Begin("music cabinet", ""); return err })
	read(76, 0)
	require.Equal(t, 76.0, board().Before.Lab.L)
	require.Nil(t, board().After, "nothing was laid yet")
	coat()
	require.Nil(t, board().After, "nothing was read since")
	read(60, 1)
	require.Equal(t, 60.0, board().After.Lab.L)
	second := coat()
	require.Nil(t, board().After, "that was before the second coat")
	require.Equal(t, 76.0, board().Before.Lab.L)
	withdraw(t, l, second)
	require.Equal(t, 60.0, board().After.Lab.L)
}

// A name that is nearly that of an area is a slip; numbers and letters tell areas apart.
func TestAreasThatAreNearlyNamed(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	add(t, l, Entry{Piece: "music cabinet", Area: "left door", Note: "drinks more"})
	add(t, l, Entry{Piece: "music cabinet", Area: "leg 1", Note: "short"})
	write(t, l, func(w *Writer) error {
		for area, near := range map[string]string{
			"fraem": "frame", "Frame": "frame", "frmae": "frame", "fram": "frame", "frames": "frame", "lft door": "left door",
			"left  door": "left door", "filled conrer": "filled corner",
		} {
			err := w.KnownArea("Music Cabinet", area)
			require.True(t, fault.Is(err, "logbook.near-area"), "%s: %v", area, err)
			require.Equal(t, near, fault.Of(err).Values["near"])
		}
		for _, area := range []string{"frame", "left door", "right door", "leg 2", "leg 11", "panel", "lid", "", "frieze"} {
			require.NoError(t, w.KnownArea("music cabinet", area), area)
		}
		return nil
	})
}

// An area that was mistyped and undone is no area of the piece: its right name is not taken for a slip of it.
func TestAnAreaThatWasUndoneIsNoArea(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	withdraw(t, l, add(t, l, Entry{Piece: "music cabinet", Area: "left dorr", Note: "drinks more"}))
	write(t, l, func(w *Writer) error { return w.KnownArea("music cabinet", "left door") })
}
