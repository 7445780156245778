package bench

import (
	"math/rand/v2"
)

// CabinetOptions say what stands on the bench. The zero value is a scene too.
type CabinetOptions struct {
	Seed   uint64
	Wash   *Wash         // of the test coats and the chip; nil means NewWash(Seed, "nut brown", 6)
	Glaze  *Wash         // of a further test coat on each wood; nil for none
	Boards []SampleBoard // what to come to, at most two; none means one of sapele under one coat
	Slips  int           // further slips of the same paper round the piece, at most 7
	// Printed are slips that were printed and stuck on the piece.
	Printed []PrintedSlip
	// TestFilms is the film of the test coat on the frame and on the panel, over that of a coat
	// laid evenly; 0 means 1.
	TestFilms [2]float64
	// Laid is the film of the wash on the woods of the Frame and of the Panel and on the Corner, over that of a coat laid evenly: the piece
	// as it is later. Glazed is the same of the glaze under it. Test coats then lie on that, and nothing is to be read of them.
	Laid, Glazed map[string]float64
	// Elsewhere is the seed of another wall and floor, and moves the chart: the piece as somebody else sees it. 0 is where it was.
	Elsewhere uint64
}

// Cabinet sets up a music cabinet with an ash frame, sapele panels and one corner rebuilt in
// filler, in front of a garage wall, with a chart, a slip of paper, test coats on both woods,
// a chip of the dried paint and one or two boards to come to.
func Cabinet(opt CabinetOptions) *Scene {
	m := &maker{Scene: &Scene{}, rng: rand.New(rand.NewPCG(opt.Seed, 0xcab)), wash: opt.Wash, glaze: opt.Glaze, laid: opt.Laid,
		glazed: opt.Glazed}
	if m.wash == nil {
		m.wash = NewWash(opt.Seed, "nut brown", 6)
	}
	boards := opt.Boards
	if boards == nil {
		boards = []SampleBoard{{Coats: 1}}
	}
	m.backdrop(noise(m.rng.Uint64() ^ opt.Elsewhere))
	m.contact(left+2, bottom-4, stile-14, 30)
	m.contact(innerRight+14, bottom-4, stile-14, 30)
	m.contact(118, 790, 118, 34)
	m.contact(1008, 804, 140, 20)
	m.carcass()
	m.shelves()
	m.door(409, 644, 627)
	m.door(646, 881, 663)
	m.corner()
	m.laid, m.glazed = nil, nil
	m.testCoats(opt.TestFilms)
	m.besides(boards)
	m.addChart(24, 128+float64(opt.Elsewhere%97), -1.1)
	m.slips(opt.Slips)
	m.printed(opt.Printed)
	return m.finish()
}
