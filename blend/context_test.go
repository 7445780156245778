package blend

import (
	"context"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// endsAfter is a context that ends when it has been asked so many times whether it has.
type endsAfter struct {
	context.Context
	left atomic.Int64
}

func newEndsAfter(t *testing.T, asked int) *endsAfter {
	c := &endsAfter{Context: t.Context()}
	c.left.Store(int64(asked))
	return c
}

func (c *endsAfter) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// requireStops ends the context of some work at each of the first places where it asks, and then at ever
// rarer ones until it is done before: it returns the context's error or is as if nothing had ended.
func requireStops(t *testing.T, work func(ctx context.Context) error) {
	t.Helper()
	stopped := 0
	for asked := 0; ; asked += 1 + asked/4 {
		err := work(newEndsAfter(t, asked))
		if err == nil {
			break
		}
		require.Equal(t, context.Canceled, err)
		stopped++
	}
	require.Positive(t, stopped)
}

func TestLearningStops(t *testing.T) {
	s := Survey{
		Shelf: []Known{
			{Name: "wash", Kind: "wash", Evidence: Evidence{Chip: chipOf(redWash), Tests: []TestCoat{testCoat(redWash, oak, 2)}}},
			{Name: "stain", Kind: "stain", PutOn: Wiped, Evidence: Evidence{Tests: []TestCoat{testCoat(redWash, ash, 1)}}},
		},
	}
	requireStops(t, func(ctx context.Context) error {
		w, err := s.Worlds(ctx, WorldOptions{Draws: 4})
		if err != nil {
			require.Nil(t, w)
		}
		return err
	})
	requireStops(t, func(ctx context.Context) error {
		_, _, err := Learn(ctx, "wash", "wash", s.Shelf[0].Evidence)
		return err
	})
}

func TestPlanningStops(t *testing.T) {
	woods := []wood{paleFrame, redPanel, {"rail", Sealed, oak, colour.Lab{L: 60, A: 9, B: 24}}}
	shelf := []*Coating{redWash, mudGlaze, paleWash}
	for name, target := range map[string][]colour.Lab{"to a target": {after(redWash, oak, 3, Sealed)}, "to meet": nil} {
		t.Run(name, func(t *testing.T) {
			ask, colours := pieceOf(woods, target...)
			w := scattered(8, 0.2, shelf, colours)
			requireStops(t, func(ctx context.Context) error {
				plan, err := PlanPiece(ctx, w, ask)
				if err != nil {
					return err
				}
				_, err = NextTests(ctx, w, ask, plan)
				return err
			})
			requireStops(t, func(ctx context.Context) error {
				_, err := PlanMix(ctx, w, ask, []float64{0.2, 0.2, 0.2})
				return err
			})
			requireStops(t, func(ctx context.Context) error {
				_, err := Expect(ctx, w, ask.Areas[0], []Laid{{0, 2}})
				return err
			})
			requireStops(t, func(ctx context.Context) error {
				_, err := Foresee(ctx, w, ask.Areas[0], []Laid{{0, 2}}, ask.Areas[1].Mean)
				return err
			})
		})
	}
}

func TestPlanningStopsAfterAMoment(t *testing.T) {
	ask, colours := pieceOf([]wood{paleFrame, redPanel})
	w := scattered(64, 0.2, []*Coating{redWash, mudGlaze, paleWash, purpleDye, orangeDye}, colours)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	time.AfterFunc(5*time.Millisecond, cancel)
	plan, err := PlanPiece(ctx, w, ask)
	require.Equal(t, context.Canceled, err)
	require.Nil(t, plan)
}
