package bench

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/sample"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// Slips of paper are proposed in drawn cabinets, with and without a chart, by phones of all sorts; what is no
// paper seldom is.
func TestSlipsAreProposed(t *testing.T) {
	shown, found, others, first := 0, 0, 0, 0
	photos := figure.Draws(6, 16)
	for seed := range uint64(photos) {
		opt := DrawCabinet(seed)
		opt.Slips = int(seed) % 5
		view := View{Width: 1600, Height: 1200, SamplesPerSide: 1}
		if seed%4 == 3 {
			view.Width, view.Height = 2400, 1800
		}
		shot := Cabinet(opt).Shoot(view, DrawCamera(seed, Phone))
		photo, err := imageio.Decode(t.Context(), shot.JPEG, "front.jpg")
		require.NoError(t, err)
		papers, err := evenlight.FindPaper(t.Context(), photo, &shot.Corners)
		require.NoError(t, err)
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
			t.Logf("seed %d: %v is no slip", seed, paper.Outline)
		}
	}
	figure.Report(t, "slips/found", "%d of %d", found, shown)
	figure.Report(t, "slips/something else", "%d", others)
	figure.Report(t, "slips/the likeliest is one", "%d", first)
	require.GreaterOrEqual(t, float64(found), 0.9*float64(shown))
	require.GreaterOrEqual(t, first, photos-1)
	require.LessOrEqual(t, others, photos)
}

// In ordinary photographs, too, what is proposed lies on the photo and holds enough pixels to be measured.
func TestPapersInRealPhotos(t *testing.T) {
	for _, file := range slices.Concat(fixture.NeedShared(t, "wood/*/*.jp*g"), fixture.NeedShared(t, "charts/*/*.jp*g")) {
		photo, err := imageio.Open(t.Context(), file)
		if err != nil {
			continue
		}
		var corners *[4]imageio.Point
		if chart, err := chart.Find(t.Context(), photo, chart.Search{}); err == nil {
			corners = &chart.Corners
		}
		papers, err := evenlight.FindPaper(t.Context(), photo, corners)
		require.NoError(t, err)
		for _, p := range papers {
			require.NoError(t, p.Outline.CheckOn(photo), file)
			require.GreaterOrEqual(t, imageio.CountPixels(p.Outline.Spans(photo.Width, photo.Height)), sample.LeastPixels, file)
		}
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
