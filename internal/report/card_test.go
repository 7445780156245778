package report_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/workshop"
)

func cardFor(t *testing.T, r *workshop.PlanResult, s *workshop.Schedule) *card.Sheet {
	t.Helper()
	c, err := report.NewCard(context.Background(), nil, r, s, "", morning)
	require.NoError(t, err)
	return c
}

// Coats that lie there are counted: the next of an area that has one is its second.
func TestCardCountsOn(t *testing.T) {
	r := cabinetPlan()
	fresh := cardFor(t, r, cabinetSchedule()).Areas[0]
	require.Equal(t, []int{1, 2, 3}, numbersOf(fresh))
	require.Equal(t, "Stop after coat 2 and photograph it.", fresh.Stop)

	r.Areas[0].Area.Laid = []piece.LaidCoats{{Coating: "nut-brown wash", Coats: 1}}
	on := cardFor(t, r, cabinetSchedule()).Areas[0]
	require.Equal(t, []int{2, 3, 4}, numbersOf(on))
	require.Equal(t, "3", on.Count, "so many are to come")
	require.Equal(t, "ash, sealed, 0.62 m², 1 coat is on", on.About)
	require.Equal(t, "Stop after coat 3 and photograph it.", on.Stop)
	require.Equal(t, fresh.StopAt, on.StopAt, "the bar stands where it stood")
	var text strings.Builder
	require.NoError(t, report.Style{}.PlanText(&text, r))
	require.Contains(t, text.String(), "after coat 3 on the frame")
}

func numbersOf(a card.Area) (all []int) {
	for _, k := range a.Steps {
		all = append(all, k.Number)
	}
	return all
}

// Every step of a timetable stands on its card: before the coats, in the rows, or after them; times, seals and rubbing down with the
// coat that they belong to.
func TestCardHasTheWholeTimetable(t *testing.T) {
	c := cardFor(t, cabinetPlan(), cabinetSchedule())
	require.Equal(t, []card.Step{
		{Time: "Sat 14 Mar 09:00", What: "Test every layer on all areas for lead",
			Notes: []string{"Lead poisons. If it is there, do not sand dry; the law may want certified people."}},
		{Time: "Sat 14 Mar 09:15", What: "Clean and degrease all areas; rinse, let dry",
			Notes: []string{"Wax and silicone make fish-eyes. Wipe with white spirit first, then with soapy water."}},
		{Time: "Sat 14 Mar 11:45", What: "Rub down areas 1 and 2 with 320 grit or a grey pad",
			Notes: []string{"New coats need a key. Work wet: there may be lead. Take the dust off."}},
	}, c.Before)
	var after []string
	for _, s := range c.After {
		after = append(after, s.Time+" "+s.What)
	}
	require.Equal(t, []string{
		"Sun 15 Mar 18:00 Seal filled corner with a thin coat of dewaxed shellac", "Mon 16 Mar 09:00 Coat 1 of water-borne clear over all",
		"Mon 16 Mar 13:00 Dry to the touch; now let it cure",
	}, after)
	frame := c.Areas[0]
	for i, planned := range []string{"Sat 12:15", "Sat 16:30", "Sun 09:30"} {
		require.Equal(t, planned, frame.Steps[i].Planned)
		require.Equal(t, i > 0, frame.Steps[i].Scuffed)
	}
	require.Equal(t, []string{"Not after Mon 13:00."}, frame.Steps[2].Notes)
	require.Empty(t, c.Areas[1].Steps)
	require.Equal(t, "0", c.Areas[1].Count)
}

// Names of 60 letters stand in their own rows, and elsewhere as numbers.
func TestCardNamesAreasByNumber(t *testing.T) {
	r := cabinetMeeting()
	long := "the left door of the uncommonly long cabinet by the window"
	for i := range r.Choices {
		for k := range r.Choices[i].Pairs {
			for n, name := range r.Choices[i].Pairs[k].Areas {
				if name == "panel" {
					r.Choices[i].Pairs[k].Areas[n] = long
				}
			}
		}
		r.Choices[i].Areas[1].Name = long
	}
	r.Areas[1].Area.Name = long
	c := cardFor(t, r, nothingToLay())
	require.Equal(t, long, c.Areas[1].Name)
	for _, a := range c.Areas {
		require.NotContains(t, a.Short, long)
	}
	require.Contains(t, c.Areas[1].Left, long)
	require.Contains(t, c.Areas[1].Short, "area 2")
	require.NotContains(t, c.Other, long)
	require.NotEmpty(t, c.Other)
}
