package bench

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// Slips of paper are proposed in drawn cabinets, with and without a chart, by phones of all sorts; what is no
// paper seldom is.
func TestSlipsAreProposed(t *testing.T) {
	shown, found, others, first := 0, 0, 0, 0
	for seed := range uint64(16) {
		opt := DrawCabinet(seed)
		opt.Slips = int(seed) % 5
		view := View{Width: 1600, Height: 1200, SamplesPerSide: 1}
		if seed%4 == 3 {
			view.Width, view.Height = 2400, 1800
		}
		shot := Cabinet(opt).Shoot(view, DrawCamera(seed, Phone))
		photo, err := imageio.Decode(t.Context(), shot.JPEG, "front.jpg")
		require.NoError(t, err)
		papers := photo.FindPaper(t.Context(), &shot.Corners)
		shown += min(1+opt.Slips, 6)
		for i, paper := range papers {
			middle := paper.Outline.Centre()
			is := false
			for n := range 1 + opt.Slips {
				slip := shot.Area(SlipName(n + 1)).Outline
				is = is || holds(slip, middle)
			}
			if is {
				found++
				if i == 0 {
					first++
				}
				continue
			}
			others++
			t.Logf("seed %d: %v is no slip (light %.2f)", seed, paper.Outline, paper.Light)
		}
	}
	t.Logf("%d of %d slips proposed; %d proposals are of something else; the first proposal is a slip in %d of 16", found, shown, others, first)
	require.GreaterOrEqual(t, float64(found), 0.9*float64(shown))
	require.GreaterOrEqual(t, first, 15)
	require.LessOrEqual(t, others, 16)
}

// Ordinary photographs.
func TestPapersInRealPhotos(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/data/wood/*/*.jp*g")
	more, _ := filepath.Glob("../../../shared/data/charts/*/*.jp*g")
	files = append(files, more...)
	if len(files) == 0 {
		t.Skip("../shared is not beside the checkout")
	}
	for _, file := range files {
		photo, err := imageio.Open(t.Context(), file)
		if err != nil {
			continue
		}
		var corners *[4]imageio.Point
		if chart, err := photo.FindChart(t.Context(), imageio.ChartSearch{}); err == nil {
			corners = &chart.Corners
		}
		papers := photo.FindPaper(t.Context(), corners)
		if len(papers) > 0 {
			t.Logf("%s: %d proposals, %v", filepath.Base(file), len(papers), papers[0].Outline)
		}
	}
}

func holds(o imageio.Outline, p imageio.Point) bool {
	ring := make(shape, len(o.Points))
	for i, c := range o.Points {
		ring[i] = spot{c.X, c.Y}
	}
	return ring.contains(p.X, p.Y)
}
