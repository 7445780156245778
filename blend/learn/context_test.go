package learn

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/internal/contexttest"
)

func TestLearningStops(t *testing.T) {
	s := Dataset{
		Shelf: []ShelfCoating{
			{Name: "wash", Kind: "wash", Evidence: Evidence{
				Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{testCoat(blendtest.RedWash, blendtest.Oak, 2)}}},
			{Name: "stain", Kind: "stain", PutOn: blend.Wiped, Evidence: Evidence{Tests: []TestCoat{testCoat(blendtest.RedWash, blendtest.Ash, 1)}}},
		},
	}
	contexttest.RequireStops(t, func(ctx context.Context) error {
		w, err := s.Draw(ctx, Options{Draws: 4})
		if err != nil {
			require.Nil(t, w)
		}
		return err
	})
	contexttest.RequireStops(t, func(ctx context.Context) error {
		_, _, err := learn(ctx, "wash", "wash", s.Shelf[0].Evidence)
		return err
	})
}
