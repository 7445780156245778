package bench

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
)

// The hard piece's story has to stay worth telling: the frame far off and in need of several coats,
// the panels of one, the filler of its own number, each clearly better than the next.
func TestHardPieceTellsItsStory(t *testing.T) {
	d := HardPiece()
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

// The demo's piece comes together: two coats of glaze and one of the wash bring the frame to the panel under one, so near that they pass
// side by side; without the glaze they do not.
func TestDemoPieceComesTogether(t *testing.T) {
	d, err := DemoPiece(t.Context())
	require.NoError(t, err)
	target := d.Area(Target).Lab
	for _, area := range []string{Frame, Panel, Corner} {
		glaze := 2
		if area == Panel {
			glaze = 0
		}
		end := colour.DeltaE2000(target, d.Under(area, glaze, 1))
		t.Logf("%-14s ends %.1f from the target, now %.1f", area, end, colour.DeltaE2000(target, d.Area(area).Lab))
		require.Less(t, end, 3.5, area)
	}
	require.Less(t, colour.DeltaE2000(d.Under(Frame, 2, 1), d.Under(Panel, 0, 1)), 1.8)
	_, alone := d.Area(Frame).BestCount(d.Wash, target, 3)
	require.Greater(t, alone, 4.0, "the wash alone needs more than three coats")
}

// All of each wood is outlined without crossing itself, in the picture, and holds the part that is measured.
func TestWholesAreOutlines(t *testing.T) {
	d := HardPiece()
	for _, area := range []string{Frame, Panel, Corner} {
		measured, held := d.Area(area).Outline.Points, 0
		for _, whole := range d.Wholes[area] {
			read, err := imageio.ParseOutline(whole.String())
			require.NoError(t, err, area)
			require.Equal(t, whole.Points, read.Points)
			in, ring := true, shape{}
			for _, p := range whole.Points {
				ring = append(ring, spot{p.X, p.Y})
			}
			for _, p := range measured {
				in = in && ring.contains(p.X, p.Y)
			}
			if in {
				held++
			}
		}
		require.Equal(t, 1, held, area)
	}
}
