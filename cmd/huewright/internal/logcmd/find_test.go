package logcmd

import (
	"testing"
	"time"
	_ "time/tzdata" // also where the system has none

	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
)

// A date is the whole of that day, also where the clocks go back in it.
func TestUntilIsTheWholeDay(t *testing.T) {
	was := time.Local
	defer func() { time.Local = was }()
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	time.Local = berlin
	var q logbook.Query
	require.NoError(t, narrow(&q, "", "", "2026-10-25"))
	require.Equal(t, time.Date(2026, 10, 25, 23, 59, 59, 999e6, berlin), q.Until)
}
