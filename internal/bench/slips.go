package bench

import "fmt"

// slipSpots are the middles of further slips, in the open and clear of all areas, the first
// three so that they and the one by the shelves lie round the piece.
var slipSpots = []spot{{913, 640}, {377, 445}, {250, 590}, {376, 722}, {645, 277}, {530, 672}, {765, 672}}

// slips tapes n further slips of the same paper round the piece.
func (m *maker) slips(n int) {
	const wide, high, clear = 34.0, 44.0, 4.0
	for i, at := range slipSpots[:n] {
		height := m.topmost(at.x, at.y).height
		slip := rect(at.x-wide/2, at.y-high/2, wide, high).turned(2-4*float64(i%2), at)
		m.add(&surface{shape: slip, height: height + 0.3, palette: plain(paper), thin: true})
		m.name(SlipName(i+2), rect(at.x-wide/2+clear, at.y-high/2+clear, wide-2*clear, high-2*clear))
	}
}

// SlipName is the name of the nth slip, from 1.
func SlipName(n int) string {
	if n == 1 {
		return Slip
	}
	return fmt.Sprintf("%s %d", Slip, n)
}

// BlankSheet is a sheet of the slips' paper that fills the picture.
func BlankSheet() *Scene {
	s := &Scene{}
	const out = 400.0
	s.add(&surface{shape: rect(-out, -out, sceneWidth+2*out, sceneHeight+2*out), palette: plain(paper), thin: true})
	return s.finish()
}
