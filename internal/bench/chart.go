package bench

import (
	"huewright/colour/camera"
	"huewright/colour/spectra"
)

// The chart's size in millimetres; the field is what the patches fill, gaps included.
const (
	patchSide   = 39.0
	patchGap    = 4.0
	chartMargin = 14.0
	fieldWide   = 6*patchSide + 5*patchGap
	fieldHigh   = 4*patchSide + 3*patchGap
)

var border = chemistry{floor: 11, lignin: 1.2, fall: 120, middle: 500, breadth: 50}

// How far the patches of one chart are from the published colours, in each of L*, a* and b*,
// one standard deviation. It makes them 0.9 ΔE00 off on average, which is how far the mean of
// many charts measured by a third party is from either edition (spectra in colour-science).
const printingSD = 0.75

// ChartWidth is how wide the chart's patch field is along its rows of six, in millimetres.
const ChartWidth = fieldWide

// addChart tapes a 24-patch chart to the wall, its top left corner at x, y before it is turned.
// The spectra of the patches are the smoothest that have their colours.
func (m *maker) addChart(x, y, turn float64) {
	about := spot{x, y}
	card := rect(x, y, fieldWide+2*chartMargin, fieldHigh+2*chartMargin).turned(turn, about)
	m.add(&surface{shape: card, height: onWall, palette: plain(border)})
	x0, y0 := x+chartMargin, y+chartMargin
	for i, patch := range camera.Chart24(camera.Since2014) {
		printed := patch.Lab
		for _, axis := range []*float64{&printed.L, &printed.A, &printed.B} {
			*axis += printingSD * m.rng.NormFloat64()
		}
		px, py := x0+float64(i%6)*(patchSide+patchGap), y0+float64(i/6)*(patchSide+patchGap)
		square := rect(px, py, patchSide, patchSide).turned(turn, about)
		m.add(&surface{shape: square, height: onWall, palette: flat(spectra.Smoothest(printed)), thin: true})
	}
	copy(m.chart[:], rect(x0, y0, fieldWide, fieldHigh).turned(turn, about))
}
