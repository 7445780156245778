package surround

import (
	"context"
	"math"
	"slices"

	"huewright/imageio"
)

// Wood round a repair is told from what else is there in blocks of this many grid pixels: a colour
// further than otherWood (L*, hues counted hueCounts times), or than wildWood times the usual distance, from the middle
// colour of the wood next to the repair belongs to another board, a joint or the background. Our own choice.
const (
	woodBlock = 6
	otherWood = 12.0
	wildWood  = 2.5
	hueCounts = 1.8 // times as much as lightness: a wood varies from light to dark, and hardly in hue
	nextTo    = 1.0 // sizes from the repair within which the wood is taken to be its own
)

// findWood marks what of the grid is wood to judge by.
func (s *Surroundings) findWood(ctx context.Context, p *imageio.Photo, repair imageio.Outline, opt *Options) error {
	own := s.inside(s.onGrid(repair))
	s.cut(s.onGrid(repair), true)
	for _, o := range opt.Exclude {
		for i, in := range s.inside(s.onGrid(o)) {
			if in && own[i] {
				return &imageio.AreaError{Path: p.Path, Name: opt.Name, Problem: "the repair overlaps what is excluded", Advice: "exclude only what lies outside the repair"}
			}
		}
		s.cut(s.onGrid(o), false)
	}
	if s.inRepair() < 0.3*float64(len(s.mould.patch)) {
		return &imageio.AreaError{Path: p.Path, Name: opt.Name, Problem: "the repair is nearly all glare, or lies in what is excluded", Advice: "take the photo again without glare on it, or correct the outlines"}
	}
	before := s.woodPixels()
	if opt.Wood != nil {
		s.only(s.onGrid(*opt.Wood))
		if s.woodPixels() == 0 {
			return &imageio.AreaError{Path: p.Path, Name: opt.Name, Problem: "the wood's outline leaves nothing round the repair", Advice: "outline the wood so that the repair lies in it or beside it, within three of its sizes"}
		}
		return nil
	}
	if err := s.alike(ctx); err != nil {
		return err
	}
	if before > 0 {
		s.Left = 1 - float64(s.woodPixels())/float64(before)
	}
	return nil
}

// cut takes an outline, and where near two pixels beyond it, out of the wood. s.repair of it is
// remembered for what is told of the repair itself.
func (s *Surroundings) cut(o imageio.Outline, near bool) {
	in := s.inside(o)
	const beyond = 2
	for i, is := range in {
		if !is {
			continue
		}
		s.wood[i] = false
		if !near {
			continue
		}
		x, y := i%s.wide, i/s.wide
		for v := max(0, y-beyond); v <= min(s.high-1, y+beyond); v++ {
			for u := max(0, x-beyond); u <= min(s.wide-1, x+beyond); u++ {
				s.wood[v*s.wide+u] = false
			}
		}
	}
}

func (s *Surroundings) only(o imageio.Outline) {
	for i, is := range s.inside(o) {
		s.wood[i] = s.wood[i] && is
	}
}

func (s *Surroundings) inside(o imageio.Outline) []bool {
	in := make([]bool, len(s.wood))
	for _, sp := range o.Spans(s.wide, s.high) {
		for x := sp.X0; x < sp.X1; x++ {
			in[sp.Y*s.wide+x] = true
		}
	}
	return in
}

// inRepair is how many pixels of the repair can be read.
func (s *Surroundings) inRepair() (n float64) {
	for _, c := range s.mould.patch {
		if x, y := s.at.x+c.x, s.at.y+c.y; x >= 0 && y >= 0 && x < s.wide && y < s.high && !s.clipped(y*s.wide+x) {
			n++
		}
	}
	return n
}

func (s *Surroundings) clipped(i int) bool { return s.l[i] > 99 }

// A woodBlockMean is the mean colour of a block, and whether enough of it is wood at all.
type woodBlockMean struct {
	l, a, b float64
	full    bool
}

// alike leaves out what is not of the wood next to the repair, and what hangs together with it
// only beyond something else.
func (s *Surroundings) alike(ctx context.Context) error {
	wide, high := (s.wide+woodBlock-1)/woodBlock, (s.high+woodBlock-1)/woodBlock
	blocks := make([]woodBlockMean, wide*high)
	for i := range blocks {
		blocks[i] = s.block(i%wide, i/wide)
	}
	middle := place2{s.at.x + s.mould.wide/2, s.at.y + s.mould.high/2}
	size := math.Sqrt(float64(len(s.mould.patch)))
	var near []int
	for i := range blocks {
		x, y := (i%wide)*woodBlock+woodBlock/2, (i/wide)*woodBlock+woodBlock/2
		far := math.Hypot(float64(x-middle.x), float64(y-middle.y))
		if blocks[i].full && far < (0.7+nextTo)*size+float64(max(s.mould.wide, s.mould.high))/4 {
			near = append(near, i)
		}
	}
	if len(near) == 0 {
		return nil
	}
	off := func(m, n *woodBlockMean) float64 {
		return math.Hypot(m.l-n.l, hueCounts*math.Hypot(m.a-n.a, m.b-n.b))
	}
	// The wood's own colour is that of the block that most others are alike, the more so the nearer it
	// is to the repair's, which was meant to look like it: half of what lies next to a corner of the
	// piece may be background.
	filling, err := s.filling(ctx)
	if err != nil {
		return err
	}
	var own *woodBlockMean
	var usual []float64
	best := 0.0
	for _, i := range near {
		var alike []float64
		for _, k := range near {
			if d := off(&blocks[i], &blocks[k]); d <= otherWood {
				alike = append(alike, d)
			}
		}
		if score := float64(len(alike)) * math.Exp(-off(&blocks[i], filling)/otherWood); score > best {
			own, usual, best = &blocks[i], alike, score
		}
	}
	slices.Sort(usual)
	most := max(otherWood, wildWood*usual[len(usual)/2])
	// A flood from next to the repair, through blocks that are alike.
	reached := make([]bool, len(blocks))
	var open []int
	for _, i := range near {
		if off(own, &blocks[i]) <= most {
			reached[i] = true
			open = append(open, i)
		}
	}
	for len(open) > 0 {
		i := open[len(open)-1]
		open = open[:len(open)-1]
		for _, step := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			x, y := i%wide+step[0], i/wide+step[1]
			if x < 0 || y < 0 || x >= wide || y >= high {
				continue
			}
			if k := y*wide + x; !reached[k] && blocks[k].full && off(own, &blocks[k]) <= most {
				reached[k] = true
				open = append(open, k)
			}
		}
	}
	for i := range s.wood {
		if !s.wood[i] {
			continue
		}
		// A block's border on something else holds some of that: half a block is left out.
		for _, step := range [5]place2{{}, {woodBlock / 2, 0}, {-woodBlock / 2, 0}, {0, woodBlock / 2}, {0, -woodBlock / 2}} {
			x, y := i%s.wide+step.x, i/s.wide+step.y
			if x < 0 || y < 0 || x >= s.wide || y >= s.high {
				continue
			}
			if k := y/woodBlock*wide + x/woodBlock; !reached[k] && (blocks[k].full || step == place2{}) {
				s.wood[i] = false
			}
		}
	}
	return nil
}

// filling is the mean colour of the repair.
func (s *Surroundings) filling(ctx context.Context) (*woodBlockMean, error) {
	eyes, err := s.lookers(ctx)
	if err != nil {
		return nil, err
	}
	t := eyes.texture(s.mould.patch, s.at, false, true)
	return &woodBlockMean{t.Mean.L, t.Mean.A, t.Mean.B, true}, nil
}

func (s *Surroundings) block(column, row int) (m woodBlockMean) {
	n, cells := 0.0, 0
	for y := row * woodBlock; y < min((row+1)*woodBlock, s.high); y++ {
		for x := column * woodBlock; x < min((column+1)*woodBlock, s.wide); x++ {
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
