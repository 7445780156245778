package report_test

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/report/clientpage"
	"huewright/internal/workshop"
)

// jargon is what no owner of a cabinet should have to know.
var jargon = regexp.MustCompile(`ΔE|L\*|a\*|b\*|[0-9] ?%|D65|size_m2|--`)

// told is all that a page says.
func told(p *clientpage.Page) string {
	all := []string{p.Title, p.About, p.Over, p.Small}
	for _, part := range p.Parts {
		all = append(all, part.Name+": "+part.Do)
	}
	for _, s := range p.Sections {
		all = append(all, s.Heading)
		for _, line := range s.Lines {
			all = append(append(all, line.Text), line.Items...)
		}
	}
	return strings.Join(all, "\n")
}

func clientTold(t *testing.T, r *workshop.PlanResult) string {
	s := cabinetSchedule()
	s.Used = []*blend.Coating{{Name: "water-borne clear", Kind: schedule.Clear}, {Name: "nut-brown wash", Kind: "wash"},
		{Name: "dewaxed shellac", Kind: "paint"},
		{Name: "nut-brown wash", Kind: "wash"}, {Name: "water-borne clear", Kind: schedule.Clear}}
	p, err := report.NewClientPage(context.Background(), nil, r, s, morning)
	require.NoError(t, err)
	text := told(p)
	require.Empty(t, jargon.FindAllString(text, -1), text)
	return text
}

func TestClientIsToldInPlainWords(t *testing.T) {
	text := clientTold(t, cabinetPlan())
	for _, s := range []string{
		"Frame: 3 thin coats of nut-brown wash (2 to 4).", "Panel: Stays as it is.", "At arm's length you will see a difference:",
		"the filled corner will be clearly less red and a little lighter than the panel",
		"Over all of it: 2 clear coats of water-borne clear.", "Nut-brown wash (thinned), dewaxed shellac (as a sealer between) and water-borne",
		"The grain of the frame will be softer.", "By a warm lamp ", "How it looks by lamp is a guess",
	} {
		require.Contains(t, text, s)
	}
	r := cabinetPlan()
	r.Piece.Hours, r.Relative = 7.5, true
	require.Contains(t, clientTold(t, r), "About 7.5 hours of work.")
	require.Contains(t, clientTold(t, r), "Nothing in the photo had a known colour")
	r.Piece.Hours = 1
	require.Contains(t, clientTold(t, r), "About 1 hour of work.")
	require.NotContains(t, clientTold(t, cabinetPlan()), "hours of work", "of what is not said nothing is told")
}

// What is known of a wood's years is told with its source, and of other woods that nothing is known.
func TestClientIsToldOfTheYears(t *testing.T) {
	r := cabinetPlan()
	for wood, says := range map[string]string{
		"beech":         "Beech gets darker in a room, much so in 36 months (a published study, PMC9104894).",
		"steamed beech": "Steamed beech gets lighter in a room",
		"black cherry":  "mostly darker and redder. Finishers know it so; published studies disagree.",
		"walnut":        "Walnut gets lighter over months of light.",
		"poplar":        "For poplar and sapele nothing sure is known.",
	} {
		r.Areas[0].Area.Wood, r.Areas[1].Area.Wood, r.Areas[2].Area.Wood = wood, "sapele", ""
		require.Contains(t, clientTold(t, r), says, wood)
	}
}

// From where a difference is seen follows from its size, the largest first; what nobody sees is not listed.
func TestClientIsToldFromWhere(t *testing.T) {
	areas := func(ends ...float64) *workshop.PlanResult {
		r := &workshop.PlanResult{Piece: piece.Piece{Name: "bench"}}
		aim := colour.Lab{L: 50, A: 10, B: 20}
		var all []plan.AreaPlan
		for i, end := range ends {
			a := onArea(string(rune('a'+i)), aim, downTo(aim, ash, colour.Lab{L: 50 + 1.2*end, A: 10, B: 20}), step(2, "wash", aim, aim, 1),
				washes(1, 1, 1), 0.9, 1)
			a.ToTarget, a.After.Median, a.Lamp = true, end, byLamp(aim, aim)
			all = append(all, a)
		}
		r.Choices = []plan.Choice{{Areas: all}}
		for i := range all {
			r.Areas = append(r.Areas, workshop.AreaPlan{Area: piece.Area{Name: all[i].Name, Surface: "sealed"}, Plan: &all[i]})
		}
		return r
	}
	text := clientTold(t, areas(1.2, 3, 9, 5))
	want := []string{"From across the room", "the c will", "At arm's length", "the d will", "Close up", "the b will",
		"All else will pass side by side."}
	for i, at := 0, 0; i < len(want); i++ {
		next := strings.Index(text[at:], want[i])
		require.GreaterOrEqual(t, next, 0, "%q in its place:\n%s", want[i], text)
		at += next
	}
	require.NotContains(t, text, "the a will")
	require.Contains(t, clientTold(t, areas(1.2, 0.4)), "By day the colours will pass side by side.")
	require.Contains(t, clientTold(t, areas(0.3, 0.4)), "Nobody will see a difference in colour.")
	require.Equal(t, 5, strings.Count(clientTold(t, areas(9, 9, 9, 9, 9, 9, 9, 9)), "aimed at"), "a page tells no more than are read")
}
