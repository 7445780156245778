package learn

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
)

// takes is what a bare wood makes of one coat that leaves so much film there, and darkens it first as water would.
func takes(c *blend.Coating, wood colour.Lab, film, wetting float64) TestCoat {
	wet := *c
	wet.Wetting = wetting
	ground := spectra.Smoothest(wood)
	ground = wet.Wetted(&ground, blend.Bare)
	end := wet.Over(&ground, film)
	return TestCoat{Ground: Measured{Lab: wood}, Result: Measured{Lab: end.Lab()}, Coats: 1, Surface: blend.Bare, Even: true}
}

// Sapwood that drank more than heartwood is expected to drink more again. A wood without a test lies between, and is less sure than
// they; what is sealed is the same to all.
func TestSapwoodTakesMore(t *testing.T) {
	sap, heart := takes(blendtest.RedWash, blendtest.Ash, 1.4, 0.6), takes(blendtest.RedWash, blendtest.Walnut, 1, 0.1)
	sap.Wood, heart.Wood = "sapwood", "heartwood"
	e := Evidence{Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{sap, heart}}
	d := Dataset{Shelf: []ShelfCoating{{Name: "w", Kind: "wash", Evidence: e}}}
	w, err := d.Draw(t.Context(), Options{Draws: 200})
	require.NoError(t, err)
	darker := func(s *Sample, wood string) float64 { // what one coat takes off a pale wood of that name
		c, ground := s.On(0, wood), spectra.Smoothest(blendtest.Ash)
		wet := c.Wetted(&ground, blend.Bare)
		end := c.Over(&wet, c.Thickness(1, blend.Bare, nil))
		return ground.Lab().L - end.Lab().L
	}
	require.Greater(t, darker(&w.Best, "sapwood"), darker(&w.Best, "another")+1)
	require.Greater(t, darker(&w.Best, "another"), darker(&w.Best, "heartwood")+1)
	require.Same(t, &w.Best.Coatings[0], w.Best.On(0, ""))
	spread := func(wood string) float64 {
		var all []float64
		for i := range w.Drawn {
			all = append(all, darker(&w.Drawn[i], wood))
			require.Equal(t, w.Drawn[i].On(0, wood), w.Drawn[i].On(0, wood), "one wood is one wood")
			require.Equal(t, w.Drawn[i].Coatings[0].Films, w.Drawn[i].On(0, wood).Films)
		}
		return stat.StdDev(all, nil)
	}
	require.Greater(t, spread("another"), 1.2*spread("sapwood"))
	require.Greater(t, spread("another"), 1.2*spread(""))
}
