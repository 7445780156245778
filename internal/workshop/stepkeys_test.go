package workshop

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/schedule"
	"huewright/internal/piece"
)

// A coat that is to come is another step than one that lies there; what comes before all coats stays done.
func TestStepsOfLaterCoatsAreOthers(t *testing.T) {
	coat := schedule.Step{Work: schedule.LayCoat, Coating: "wash", Coat: 1, Areas: []string{"frame"}}
	second, clean := coat, schedule.Step{Work: schedule.Clean, Areas: []string{"frame"}}
	second.Coat = 2
	keys := func(laid int) []string {
		a := AreaPlan{Area: piece.Area{Name: "frame"}}
		if laid > 0 {
			a.Area.Laid = []piece.LaidCoats{{Coating: "wash", Coats: laid}}
		}
		r := &PlanResult{Areas: []AreaPlan{a}}
		return r.StepKeys(&Schedule{Timetable: schedule.Timetable{Steps: []schedule.Step{clean, coat, second, coat}}})
	}
	bare, coated := keys(0), keys(1)
	require.Equal(t, bare, keys(0))
	all := map[string]bool{}
	for _, k := range bare {
		require.False(t, all[k], "each step has a key of its own")
		all[k] = true
	}
	require.Equal(t, bare[0], coated[0])
	for i, k := range coated[1:] {
		require.False(t, all[k], "step %d", i+1)
	}
}
