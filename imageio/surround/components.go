package surround

import (
	"context"
	"math"
	"slices"
)

// The wood next to a repair is told from what else is there in blocks of pixels: a block whose colour is further
// than otherWood (L*, hues counted hueCounts times), or than wildWood times the usual distance, from that of the
// wood belongs to another board, a joint or the background. Our own choice.
const (
	blockSide = 6 // pixels of the grid
	otherWood = 12.0
	wildWood  = 2.5
	hueCounts = 1.8 // times as much as lightness: a wood varies from light to dark, and hardly in hue
	nextTo    = 1.0 // sizes from the repair within which the wood is taken to be its own
)

// A block is the mean colour of blockSide × blockSide pixels, and whether enough of it is wood at all.
type block struct {
	l, a, b float64
	full    bool
}

// distance is how far two blocks are apart in colour.
func (m *block) distance(n *block) float64 {
	return math.Hypot(m.l-n.l, hueCounts*math.Hypot(m.a-n.a, m.b-n.b))
}

// blocks are those of a grid, row by row.
type blocks struct {
	wide, high int
	of         []block
}

// keepOwnWood leaves out what is not of the wood next to the repair, and what is connected with it only through
// something else.
func (s *Surroundings) keepOwnWood(ctx context.Context) error {
	b := s.blocks()
	near := s.blocksNear(b)
	if len(near) == 0 {
		return nil
	}
	repair, err := s.repairColour(ctx)
	if err != nil {
		return err
	}
	own, most := b.ownWood(near, repair)
	s.drop(b, b.connected(near, own, most))
	return nil
}

func (s *Surroundings) blocks() *blocks {
	b := &blocks{wide: (s.wide + blockSide - 1) / blockSide, high: (s.high + blockSide - 1) / blockSide}
	b.of = make([]block, b.wide*b.high)
	for i := range b.of {
		b.of[i] = s.block(i%b.wide, i/b.wide)
	}
	return b
}

func (s *Surroundings) block(column, row int) (m block) {
	n, cells := 0.0, 0
	for y := row * blockSide; y < min((row+1)*blockSide, s.high); y++ {
		for x := column * blockSide; x < min((column+1)*blockSide, s.wide); x++ {
			cells++
			if i := y*s.wide + x; s.wood[i] {
				n++
				m.l, m.a, m.b = m.l+float64(s.l[i]), m.a+float64(s.a[i]), m.b+float64(s.b[i])
			}
		}
	}
	if m.full = n >= 0.4*float64(cells); m.full {
		m.l, m.a, m.b = m.l/n, m.a/n, m.b/n
	}
	return m
}

// blocksNear lists the full blocks next to the repair.
func (s *Surroundings) blocksNear(b *blocks) (near []int) {
	middle := cell{s.at.x + s.template.wide/2, s.at.y + s.template.high/2}
	size := math.Sqrt(float64(len(s.template.patch)))
	for i := range b.of {
		x, y := (i%b.wide)*blockSide+blockSide/2, (i/b.wide)*blockSide+blockSide/2
		far := math.Hypot(float64(x-middle.x), float64(y-middle.y))
		if b.of[i].full && far < (0.7+nextTo)*size+float64(max(s.template.wide, s.template.high))/4 {
			near = append(near, i)
		}
	}
	return near
}

// repairColour is the mean colour of the repair.
func (s *Surroundings) repairColour(ctx context.Context) (*block, error) {
	g, err := s.gradients(ctx)
	if err != nil {
		return nil, err
	}
	t := g.texture(s.template.patch, s.at, false, true)
	return &block{t.Mean.L, t.Mean.A, t.Mean.B, true}, nil
}

// ownWood returns the block whose colour is that of the wood, and how far from it that wood may be: the block
// that most others are alike, the more so the nearer it is to the colour of the repair, which was meant to look
// like it. Half of what lies next to a corner of the piece may be background.
func (b *blocks) ownWood(near []int, repair *block) (own *block, most float64) {
	var usual []float64
	best := 0.0
	for _, i := range near {
		var alike []float64
		for _, k := range near {
			if d := b.of[i].distance(&b.of[k]); d <= otherWood {
				alike = append(alike, d)
			}
		}
		if score := float64(len(alike)) * math.Exp(-b.of[i].distance(repair)/otherWood); score > best {
			own, usual, best = &b.of[i], alike, score
		}
	}
	slices.Sort(usual)
	return own, max(otherWood, wildWood*usual[len(usual)/2])
}

// connected marks the blocks that are like the wood and connected with the near ones through others that are, by
// flood fill.
func (b *blocks) connected(near []int, own *block, most float64) []bool {
	reached := make([]bool, len(b.of))
	var open []int
	for _, i := range near {
		if own.distance(&b.of[i]) <= most {
			reached[i] = true
			open = append(open, i)
		}
	}
	for len(open) > 0 {
		i := open[len(open)-1]
		open = open[:len(open)-1]
		for _, step := range [4]cell{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			x, y := i%b.wide+step.x, i/b.wide+step.y
			if x < 0 || y < 0 || x >= b.wide || y >= b.high {
				continue
			}
			if k := y*b.wide + x; !reached[k] && b.of[k].full && own.distance(&b.of[k]) <= most {
				reached[k] = true
				open = append(open, k)
			}
		}
	}
	return reached
}

// drop takes the blocks that were not reached out of the wood. A block's border on something else holds some of
// that: half a block is left out too.
func (s *Surroundings) drop(b *blocks, reached []bool) {
	const half = blockSide / 2
	for i := range s.wood {
		if !s.wood[i] {
			continue
		}
		for _, step := range [5]cell{{}, {half, 0}, {-half, 0}, {0, half}, {0, -half}} {
			x, y := i%s.wide+step.x, i/s.wide+step.y
			if x < 0 || y < 0 || x >= s.wide || y >= s.high {
				continue
			}
			if k := y/blockSide*b.wide + x/blockSide; !reached[k] && (b.of[k].full || step == cell{}) {
				s.wood[i] = false
			}
		}
	}
}
