package report

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// TestCalendarIsAsTheStandardHasIt holds a calendar against RFC 5545, 3.1 and 3.3.11.
func TestCalendarIsAsTheStandardHasIt(t *testing.T) {
	berlin := time.FixedZone("CET", 3600)
	at := time.Date(2026, 3, 14, 9, 0, 0, 0, berlin)
	s := &workshop.Schedule{Timetable: schedule.Timetable{Steps: []schedule.Step{
		{At: at, Work: schedule.LayCoat, Areas: []string{"frame; left, right", "Füllung rechts oben im dritten Fach der zweiten Reihe unter " +
			"dem Gesims"}, Coating: `a\b wash`, Coat: 1},
		{
			At: at.Add(10 * time.Hour), Work: schedule.LayCoat, Why: fault.Say("timetable.why-stop"), Earliest: at.Add(10 * time.Hour),
			Latest: at.Add(20 * time.Hour), Areas: []string{"frame"},
			Coating: "wash", Coat: 2, Inspect: true, WaitSource: fault.Say("schedule.label"),
		},
	}}, Bench: schedule.Bench{Start: at}}
	var out bytes.Buffer
	require.NoError(t, Style{}.Calendar(&out, "cabinet", s, at))
	text := out.String()
	require.True(t, strings.HasPrefix(text, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n"))
	require.True(t, strings.HasSuffix(text, "END:VCALENDAR\r\n"))
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\n")
	for _, line := range strings.Split(text, "\r\n") {
		require.LessOrEqual(t, len(line), 75, line)
	}
	unfolded := strings.ReplaceAll(text, "\r\n ", "")
	require.Contains(t, unfolded, `SUMMARY:cabinet: Coat 1 of a\\b wash on frame\; left\, right and Füllung rechts oben im dritten `+
		`Fach der zweiten Reihe unter dem Gesims`)
	require.Contains(t, unfolded, "DTSTART:20260314T080000Z\r\n", "in UTC")
	require.Contains(t, unfolded, `What is there decides the last coat.\n`)
	require.Equal(t, 2, strings.Count(unfolded, "BEGIN:VEVENT"))
	require.Equal(t, 2, strings.Count(unfolded, "UID:"))
}
