package bench

import "huewright/colour"

// The chart's size in millimetres; the field is what the patches fill, gaps included.
const (
	patchSide   = 39.0
	patchGap    = 4.0
	chartMargin = 14.0
	fieldWide   = 6*patchSide + 5*patchGap
	fieldHigh   = 4*patchSide + 3*patchGap
)

var surround = chemistry{floor: 11, lignin: 1.2, fall: 120, middle: 500, breadth: 50}

// addChart tapes a 24-patch chart to the wall, its top left corner at x, y before it is turned.
// The patches have the published colours exactly; their spectra are the smoothest with those.
func (s *Scene) addChart(x, y, turn float64) {
	about := spot{x, y}
	black := plain(surround)
	s.add(&surface{shape: rect(x, y, fieldWide+2*chartMargin, fieldHigh+2*chartMargin).turned(turn, about), height: onWall, look: black})
	x0, y0 := x+chartMargin, y+chartMargin
	for i, patch := range colour.Chart24(colour.Since2014) {
		px, py := x0+float64(i%6)*(patchSide+patchGap), y0+float64(i/6)*(patchSide+patchGap)
		s.add(&surface{shape: rect(px, py, patchSide, patchSide).turned(turn, about), height: onWall, look: flat(colour.SpectrumOf(patch.Lab)), thin: true})
	}
	copy(s.chart[:], rect(x0, y0, fieldWide, fieldHigh).turned(turn, about))
}
