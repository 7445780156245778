package bench

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// The demo's story has to stay worth telling: the frame far off and in need of several coats,
// the panels of one, the filler of its own number, each clearly better than the next.
func TestDemoPieceTellsItsStory(t *testing.T) {
	d := DemoPiece()
	require.Len(t, d.Answers, 3)
	target := d.Area(Target).Lab
	coats := map[string]int{}
	for _, a := range d.Answers {
		coats[a.Area] = a.Coats
		t.Logf("%-14s %d coats, %.1f from the target, then %.1f", a.Area, a.Coats, a.Before, a.After)
		require.Less(t, a.After, 3.5)
		for n, lab := range a.Path {
			if n != a.Coats {
				require.Greater(t, colour.DeltaE2000(target, lab), a.After+0.3, "%s after %d", a.Area, n)
			}
		}
	}
	require.Equal(t, map[string]int{Frame: 4, Panel: 1, Corner: 3}, coats)
}
