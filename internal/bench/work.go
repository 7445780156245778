package bench

import "math"

// corner is the foot of the right stile, broken off and built up again: filler, a little off
// in colour and without grain, on which somebody has painted a few lines.
func (m *maker) corner() {
	n := noise(m.rng.Uint64())
	painted := func(x, y float64) float64 {
		g := 0.04 + 0.03*n.plane(x/12, y/12)
		for i := range 6 {
			fi := float64(i)
			at := innerRight + 17 + 8.5*fi + 3*n.line(fi*3.3) + 1.6*(n+noise(i)).line(y/34)
			wide := 0.5 + 0.35*(n+9).line(y/17+5*fi)
			g += 0.55 * ramp(wide+0.5, wide-0.3, math.Abs(x-at)) * (0.75 + 0.3*(n+3).line(y/9+7*fi))
		}
		return clamp01(g)
	}
	s := shape{{right, bottom}, {right, 689}, {937, 694}, {930, 704}, {921, 707}, {914, 718}, {907, 721},
		{903, 733}, {896, 739}, {894, 751}, {889, 757}, {888.6, 768},
		{innerRight + 14*(768-topEdge)/(bottom-topEdge) + 1, 772}, {innerRight + 14, bottom}}
	m.add(&surface{shape: s, height: coatFace, palette: m.coated(speckled(filler, fillerInk), Corner), grain: painted, thin: true,
		shade: func(x, _ float64) float64 { return 1 - 0.22*ramp(right-2.5, right, x) }})
	m.whole(Corner, s)
	m.name(Corner, shape{{right - 9, bottom - 9}, {right - 9, 716}, {917, 730}, {906, 756}, {904, bottom - 9}})
}

// testCoats lays one coat of the wash on a strip of each wood, the bare wood left beside it.
func (m *maker) testCoats(films [2]float64) {
	for i := range films {
		if films[i] == 0 {
			films[i] = 1
		}
	}
	m.testCoat(rect(left+3, 580, stile-8, 108), m.wash, FrameBare, FrameTested, films[0])
	m.testCoat(rect(468, 556, 118, 76), m.wash, PanelBare, PanelTested, films[1])
	if m.glaze != nil {
		m.testCoat(rect(innerRight+4, 574, stile-8, 84), m.glaze, GlazeBare, GlazeTested, 1)
		m.testCoat(rect(468, 410, 118, 64), m.glaze, GlazePanelBare, GlazePanelTested, 1)
	}
}

// testCoat coats part of the surface that is seen at the middle of s; its edges are a brush's.
func (m *maker) testCoat(s shape, wash *Wash, bare, tested string, film float64) {
	b := s.box()
	ground := m.topmost((b.x0+b.x1)/2, (b.y0+b.y1)/2)
	n := noise(m.rng.Uint64())
	var edge shape
	const steps = 60
	for side, from := range s {
		to := s[(side+1)%len(s)]
		for i := range steps {
			t := float64(i) / steps
			x, y := lerp(t, from.x, to.x), lerp(t, from.y, to.y)
			out := 1.2 * n.octaves(x/14, y/14, 2)
			if side%2 == 0 { // the ends, where bristles come off the wood
				edge = append(edge, spot{x, y + 2.6*out + 3*(n+1).plane(x/2.3, float64(side))})
			} else {
				edge = append(edge, spot{x + 0.8*out, y})
			}
		}
	}
	m.add(&surface{shape: edge, height: ground.height + 0.2,
		palette: wash.over(ground.palette, film), grain: ground.grain, shade: ground.shade, thin: true})
	const clear = 9.0
	w, h := b.x1-b.x0-2*clear, b.y1-b.y0-2*clear
	m.name(tested, rect(b.x0+clear, b.y0+clear, w, h))
	m.name(bare, rect(b.x0+clear, b.y0-clear-h, w, h))
}

func (m *maker) topmost(x, y float64) *surface {
	for i := len(m.surfaces) - 1; i >= 0; i-- {
		if m.surfaces[i].shape.contains(x, y) {
			return m.surfaces[i]
		}
	}
	panic("bench: nothing there")
}

// besides is what lies and leans about the cabinet: a slip of paper, the dried paint on a
// card, the boards to come to, the tin.
func (m *maker) besides(boards []SampleBoard) {
	n := noise(m.rng.Uint64())
	slip := rect(892, 236, 44, 62).turned(1.8, spot{914, 267})
	m.add(&surface{shape: slip, height: frameStuck, palette: plain(paper)})
	m.taped(m.rng, frameStuck+0.2, spot{914, 238})
	m.name(Slip, rect(899, 255, 30, 34))

	white := rect(58, 396, 150, 112).turned(2.3, spot{133, 452})
	m.add(&surface{shape: white, height: onWall, palette: plain(card)})
	m.taped(m.rng, onWall+0.4, white[0], white[1])
	dried := flat(m.wash.Opaque())
	m.add(&surface{shape: blob(n, 133, 456, 44, 34, 0.16), height: onWall + 0.3, palette: dried, thin: true})
	m.name(Chip, rect(113, 440, 40, 32))

	for i, b := range boards {
		m.sampleBoard(i, b)
	}
	m.drum(m.rng, 118, 668, 118, 128, dried)
}

func (m *maker) sampleBoard(i int, b SampleBoard) {
	at := []box{{1008, 520, 1144, 812}, {1014, 96, 1144, 330}}[i]
	turn, height := []float64{-1.4, 0.8}[i], []float64{leaning, onWall}[i]
	sp := sapele
	if b.Pale {
		sp = ash
	}
	wash := b.Wash
	if wash == nil {
		wash = m.wash
	}
	middle := spot{(at.x0 + at.x1) / 2, (at.y0 + at.y1) / 2}
	f := m.stick(sp, quarterSawn, rect(at.x0, at.y0, at.x1-at.x0, at.y1-at.y0).turned(turn, middle), height, nil)
	f.palette = wash.over(f.palette, b.Coats)
	if i == 1 {
		m.taped(m.rng, height+0.2, spot{middle.x, at.y0 + 1})
	}
	m.name([]string{Target, SecondBoard}[i], rect(at.x0+22, at.y0+30, at.x1-at.x0-44, at.y1-at.y0-66))
}
