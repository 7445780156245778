package workshop_test

import (
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// twoPhotoPiece has its areas and its coatings in two photos that a chart and ties hold together.
func twoPhotoPiece() (inMemory, piece.Piece) {
	of := func(photo int, name string) string { return twice()[photo].Area(name).Outline.String() }
	return inMemory{"front.jpg": string(twice()[0].JPEG), "bench.jpg": string(twice()[1].JPEG)}, piece.Piece{
		Name:   "cabinet",
		Target: &piece.ColourSource{Photo: "bench", Outline: of(1, bench.Target)},
		Photos: []piece.Photo{{Name: "front", File: "front.jpg", Reference: "none"}, {Name: "bench", File: "bench.jpg", Reference: "none"}},
		Ties: []piece.Tie{
			{Name: "slip", In: map[string]string{"front": of(0, bench.Slip), "bench": of(1, bench.Slip)}},
			{Name: "bare spot", In: map[string]string{"front": of(0, bench.PanelBare), "bench": of(1, bench.PanelBare)}},
		},
		Areas: []piece.Area{
			{Name: "frame", Photo: "front", Outline: of(0, bench.Frame), Surface: "sealed", SizeM2: 0.4},
			{Name: "panel", Photo: "bench", Outline: of(1, bench.Panel), Surface: "sealed", SizeM2: 0.7},
			{Name: "corner", Photo: "front", Outline: of(0, bench.Corner), Surface: "non-absorbing", SizeM2: 0.01},
		},
		Coatings: []piece.Coating{
			{Name: "nut-brown wash", Kind: "wash", Chip: &piece.ColourSource{Photo: "bench", Outline: of(1, bench.Chip)}, Tests: []piece.TestCoat{{
				Coats: 1, Ground: piece.ColourSource{Photo: "front", Outline: of(0, bench.FrameBare)},
				Result: piece.ColourSource{Photo: "front", Outline: of(0, bench.FrameTested)},
			}}},
			{Name: "amber glaze", Kind: "glaze", Chip: &piece.ColourSource{Lab: []float64{45, 22, 38}}},
		},
	}
}

// In whatever order a piece's photos, ties, areas and coatings stand, each area gets the same answer.
func TestOrderMakesNoDifference(t *testing.T) {
	files, p := twoPhotoPiece()
	for _, meet := range []bool{false, true} {
		if meet {
			p.Target = nil
		}
		first, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: p})
		require.NoError(t, err)
		rng := rand.New(rand.NewPCG(8, 1))
		for range 3 {
			other := p
			other.Photos, other.Ties = shuffled(rng, p.Photos), shuffled(rng, p.Ties)
			other.Areas, other.Coatings = shuffled(rng, p.Areas), shuffled(rng, p.Coatings)
			again, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: other})
			require.NoError(t, err)
			for _, a := range first.Areas {
				b := again.Named(a.Area.Name)
				require.Less(t, colour.DeltaE2000(a.Start.Lab, b.Start.Lab), 1e-4, a.Area.Name)
				require.Equal(t, a.Plan.Coats, b.Plan.Coats, a.Area.Name)
				require.InDelta(t, a.Plan.After.Median, b.Plan.After.Median, 0.02, a.Area.Name)
				for i, step := range a.Plan.Path {
					require.Less(t, colour.DeltaE2000(step.Lab, b.Plan.Path[i].Lab), 0.02, "%s after %d", a.Area.Name, i)
					require.InDelta(t, step.PlusMinus, b.Plan.Path[i].PlusMinus, 0.02, "%s after %d", a.Area.Name, i)
				}
			}
		}
	}
}

func shuffled[T any](rng *rand.Rand, all []T) []T {
	all = slices.Clone(all)
	rng.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	return all
}

// Planning changes neither the piece nor its photos: the same photos give the same plan again, with and
// without what a log tells.
func TestPlanningChangesNothingItIsGiven(t *testing.T) {
	files, cabinet := twoPhotoPiece()
	cabinet.Areas[2].Surface = "sealed" // what absorbs nothing has no grain, and no number is equal to itself for it
	before, err := json.Marshal(cabinet)
	require.NoError(t, err)
	photos, err := workshop.OpenPhotos(t.Context(), files, &cabinet)
	require.NoError(t, err)
	past := &workshop.Past{Bias: learn.Bias{Film: 0.1}, Pieces: 3}
	var answers []*workshop.PlanResult
	for _, p := range []*workshop.Past{nil, past, nil} {
		result, err := workshop.PlanFrom(t.Context(), photos, &workshop.PlanRequest{Past: p})
		require.NoError(t, err)
		answers = append(answers, result)
	}
	require.Equal(t, told(answers[0]), told(answers[2]))
	require.NotEqual(t, told(answers[0]), told(answers[1]))
	after, err := json.Marshal(cabinet)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}

// told are the fields of a result that others see.
func told(r *workshop.PlanResult) (fields []any) {
	v := reflect.ValueOf(r).Elem()
	for i := range v.NumField() {
		if v.Type().Field(i).IsExported() {
			fields = append(fields, v.Field(i).Interface())
		}
	}
	return fields
}
