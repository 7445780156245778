package workshop

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A plan becomes a schedule with the rules, the air, the hazards and the unknowns of its piece.
func TestScheduleOfAPlan(t *testing.T) {
	warm, damp := 21.0, 50.0
	r := &PlanResult{
		Piece: piece.Piece{
			Name: "bench", YearMade: 1985, Country: "us", Room: &piece.Room{Temperature: &warm, Humidity: &damp},
			Coatings: []piece.Coating{{Name: "glaze", Kind: "glaze", Family: "oil"}},
			Clear:    &piece.Clear{Name: "lacquer", Family: "lacquer", PutOn: "sprayed"},
		},
		Coatings: []LearnedCoating{{Coating: &blend.Coating{Name: "glaze", Kind: "glaze", Family: blend.OilBorne}}},
		Areas: []AreaPlan{{
			Area: piece.Area{Name: "top", Wood: "sapele", Surface: "sealed"},
			Plan: &plan.AreaPlan{Name: "top", Coats: []plan.CoatCount{{Coating: "glaze", Count: 1}}, StopAfter: 1},
		}},
	}
	start := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	works := func() (all []schedule.Work) {
		s, err := r.Schedule(start, start)
		require.NoError(t, err)
		for _, step := range s.Steps {
			all = append(all, step.Work)
		}
		return all
	}
	matters := func(key string) bool {
		s, err := r.Schedule(start, start)
		require.NoError(t, err)
		return slices.ContainsFunc(s.Cautions, func(c schedule.Caution) bool { return c.Key == key && c.Matters })
	}
	require.Equal(t, []schedule.Work{
		schedule.Clean, schedule.BleedTest, schedule.ScuffOld, schedule.TestSpot, schedule.LayCoat, schedule.SealCoat, schedule.Scuff,
		schedule.LayCoat, schedule.LayCoat, schedule.Cure,
	}, works(), "dewaxed shellac parts oil glaze and lacquer, which bites into itself")
	require.True(t, matters("isocyanate") && matters("rags") && matters("bleed") && matters("spraying"))
	require.False(t, matters("lead"), "after 1978 in the US")
	require.False(t, matters("bleach"))
	r.Areas[0].Plan.Why = []fault.Note{fault.Say("plan.paler-paint-or-bleach")}
	require.True(t, matters("bleach"), "it is advised")

	r.Areas[0].Area.Laid = []piece.LaidCoats{{Coating: "glaze", Coats: 1}}
	require.Equal(t, schedule.LayCoat, works()[0], "what has a coat is prepared")
	s, err := r.Schedule(start, start)
	require.NoError(t, err)
	require.Equal(t, 2, s.Steps[0].Coat, "one is on already")

	cold := 11.0
	r.Piece.Room.Temperature = &cold
	s, err = r.Schedule(start, start)
	require.NoError(t, err)
	require.False(t, slices.ContainsFunc(s.Steps, func(step schedule.Step) bool { return step.Work.Coats() && step.Coating == "glaze" }))
	require.Equal(t, fault.Code("schedule.too-cold"), s.Warnings[0].Code)
	r.Piece.Clear.Family = ""
	r.Piece.Room.Temperature = &warm
	s, err = r.Schedule(start, start)
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(s.Warnings, func(n fault.Note) bool { return n.Code == "timetable.unknown-family" }))
}
