package report_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/report"
)

// A plan tells how a wood changes that is known for it, once, with its source; of others it says nothing.
func TestPlanTellsHowWoodsChange(t *testing.T) {
	said := func(woods ...string) string {
		r := cabinetPlan()
		for i, wood := range woods {
			r.Areas[i].Area.Wood = wood
		}
		var out bytes.Buffer
		require.NoError(t, report.Style{Width: 1000}.PlanText(&out, r))
		return out.String()
	}
	beech := said("steamed beech", "Steamed beech")
	require.Contains(t, beech, "Steamed beech gets lighter in a room, clearly so in 36 months (PMC9104894).")
	require.Equal(t, 1, bytes.Count([]byte(beech), []byte("gets lighter")), "once")
	require.Contains(t, said("black cherry", "ash"), "common practice; studies disagree")
	require.NotContains(t, said("ash", "sapele"), "in a room")
}
