package sample

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// benchPhoto is a wall, light beyond it, a board of wood, and one marked card of the given light.
func benchPhoto(t *testing.T, card colour.LinearRGB) (*imageio.Photo, imageio.Outline) {
	t.Helper()
	grain := imagetest.NewGrain(4, 240, 160, 1, 20)
	return photoOf(t, 240, 160, func(x, y int) colour.LinearRGB {
		switch {
		case x >= 100 && x < 130 && y >= 60 && y < 90:
			return card
		case x >= 60:
			return imagetest.Oak(grain.At(x, y))
		}
		return colour.LinearRGB{R: 0.30, G: 0.30, B: 0.29}
	}), imageio.Rect(102, 62, 26, 26)
}

func TestGreyIsTold(t *testing.T) {
	look := func(card colour.LinearRGB) (code string, paper bool) {
		photo, at := benchPhoto(t, card)
		patch, err := ReadPatch(t.Context(), photo, at)
		require.NoError(t, err)
		doubt, err := CheckGrey(t.Context(), photo, patch)
		if err != nil {
			return string(imagetest.RequireFault(t, err, "area.not-grey").Code), false
		}
		paper, err = LooksLikePaper(t.Context(), photo, patch)
		require.NoError(t, err)
		return string(doubt.Code), paper
	}
	times := func(k float64, l colour.Lab) colour.LinearRGB {
		c := l.LinearRGB()
		return colour.LinearRGB{R: k * c.R, G: k * c.G, B: k * c.B}
	}
	for name, c := range map[string]struct {
		card  colour.LinearRGB
		code  string
		paper bool
	}{
		"paper":                  {times(0.9, colour.Lab{L: 94}), "", true},
		"paper, one stop darker": {times(0.5, colour.Lab{L: 94}), "", true},
		"card":                   {times(1, colour.Lab{L: 50}), "", false},
		"card, a stop darker":    {times(0.5, colour.Lab{L: 50}), "", false},
		"bluish paper":           {times(0.8, colour.Lab{L: 92, A: 1, B: -8}), "", true},
		"maple":                  {times(1, colour.Lab{L: 82, A: 4, B: 19}), "area.not-grey", false},
		"walnut":                 {times(1, colour.Lab{L: 46, A: 7, B: 15}), "area.not-grey", false},
		"blue tape":              {times(1, colour.Lab{L: 50, A: 0, B: -30}), "area.not-grey", false},
	} {
		code, paper := look(c.card)
		require.Equal(t, c.code, code, name)
		require.Equal(t, c.paper, paper, name)
	}
}

// Where all of the photo has the colour of the card nobody can say whether the lamp is to blame: a doubt, not a refusal.
func TestGreyInColouredLight(t *testing.T) {
	photo := photoOf(t, 120, 80, func(x, y int) colour.LinearRGB {
		if x < 40 {
			return colour.LinearRGB{R: 0.8, G: 0.65, B: 0.5}
		}
		return colour.LinearRGB{R: 0.5, G: 0.3, B: 0.15}
	})
	patch, err := ReadPatch(t.Context(), photo, imageio.Rect(5, 5, 30, 70))
	require.NoError(t, err)
	doubt, err := CheckGrey(t.Context(), photo, patch)
	require.NoError(t, err)
	require.Equal(t, "area.hardly-grey", string(doubt.Code))
}

// The greys and the browns of real charts, each marked as a grey card; and the woods of real photos.
func TestGreyOnRealPhotos(t *testing.T) {
	const side = 24
	greys, taken, papers, asPaper, cards, asCard := 0, 0, 0, 0, 0, 0
	for _, card := range imagetest.Cards(t) {
		photo := photoOf(t, 6*side, 4*side, func(x, y int) colour.LinearRGB { return card.Light[y/side*6+x/side] })
		for _, i := range [...]int{18, 19, 20, 21} {
			patch, err := ReadPatch(t.Context(), photo, imageio.Rect(float64(i%6*side+4), float64(i/6*side+4), side-8, side-8))
			if err != nil {
				continue // burnt out
			}
			greys++
			if _, err = CheckGrey(t.Context(), photo, patch); err == nil {
				taken++
			} else {
				t.Logf("%s, patch %d: %v, %.2f", card.Name, i, err, castOf(patch.Mean))
			}
			paper, err := LooksLikePaper(t.Context(), photo, patch)
			require.NoError(t, err)
			switch i {
			case 18:
				papers, asPaper = papers+1, asPaper+btoi(paper)
			case 21:
				cards, asCard = cards+1, asCard+btoi(!paper)
			}
		}
	}
	woods, refused := 0, 0
	for _, path := range fixture.NeedShared(t, "wood/*/*") {
		photo, err := imageio.Open(t.Context(), path)
		if err != nil {
			continue // a licence
		}
		for k := range 16 {
			w, h := float64(photo.Width)/4, float64(photo.Height)/4
			patch, err := ReadPatch(t.Context(), photo, imageio.Rect(float64(k%4)*w, float64(k/4)*h, w, h))
			if err != nil {
				continue // burnt out
			}
			woods++
			if _, err := CheckGrey(t.Context(), photo, patch); err != nil {
				refused++
			}
		}
	}
	figure.Report(t, "grey/taken for grey", "%d of %d", taken, greys)
	figure.Report(t, "grey/white for paper", "%d of %d", asPaper, papers)
	figure.Report(t, "grey/mid grey for a card", "%d of %d", asCard, cards)
	figure.Report(t, "grey/wood refused", "%d of %d", refused, woods)
	require.GreaterOrEqual(t, 100*taken, 95*greys)
	require.Greater(t, 100*refused, 95*woods)
	require.GreaterOrEqual(t, 100*asPaper, 90*papers)
}

func btoi(is bool) int {
	if is {
		return 1
	}
	return 0
}
