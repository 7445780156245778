package region

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// Cells are a photo cut into patches of about one colour each.
type Cells struct {
	wide, high int     // of the small picture
	step       float64 // pixels of the photo on a side of one of its own
	photo      [2]int  // its width and height
	of         []int32 // the cell of each pixel of the small picture
	cells      []cell
	edges      []edge
	touching   [][]int // the edges of each cell
}

// A cell is a patch of the small picture.
type cell struct {
	size int // pixels
	mean vector
	x, y float64 // its middle
}

// usual is the size of a cell of the usual size, in pixels of the small picture.
func (c *Cells) usual() float64 { return float64(c.wide*c.high) / float64(len(c.cells)) }

const (
	cellCount  = 2000 // about
	cellRounds = 5    // of moving pixels to the nearest cell
)

// cellSD is how far apart the features of two pixels are that count as far as a cell is wide, when cells are formed.
var cellSD = [contrast]float64{redGreen: 0.10, blueGreen: 0.14, lightness: 0.30}

var perSD = func() (per [contrast]float64) {
	for f, sd := range cellSD {
		per[f] = 1 / (sd * sd)
	}
	return per
}()

// Divide cuts a photo into cells. It takes nearly as long as decoding twelve megapixels of JPEG, once for each photo. The error is the
// context's.
//
// Source: Achanta et al. (2012), doi:10.1109/TPAMI.2012.120; the features are our own.
func Divide(ctx context.Context, p *imageio.Photo) (*Cells, error) {
	s, err := shrink(ctx, p)
	if err != nil {
		return nil, err
	}
	labels, err := s.cluster(ctx)
	if err != nil {
		return nil, err
	}
	c := &Cells{wide: s.wide, high: s.high, step: s.step, photo: [2]int{p.Width, p.Height}}
	c.of, c.cells = connected(labels, s.wide, s.high)
	c.describe(s)
	c.connect(s)
	return c, nil
}

// A centre is the middle of a cell while cells are formed.
type centre struct {
	x, y float64
	of   [contrast]float64
	n    float64
}

// cluster returns for each pixel the nearest of about cellCount centres, which begin on a lattice and move to the mean of their pixels.
func (s *small) cluster(ctx context.Context) ([]int32, error) {
	side := math.Sqrt(float64(s.wide*s.high) / cellCount)
	cols, rows := max(1, int(float64(s.wide)/side+0.5)), max(1, int(float64(s.high)/side+0.5))
	centres := make([]centre, cols*rows)
	for k := range centres {
		c := &centres[k]
		c.x, c.y = (float64(k%cols)+0.5)*float64(s.wide)/float64(cols), (float64(k/cols)+0.5)*float64(s.high)/float64(rows)
		i := int(c.y)*s.wide + int(c.x)
		for f := range c.of {
			c.of[f] = float64(s.of[f][i])
		}
	}
	labels := make([]int32, s.wide*s.high)
	for round := range cellRounds {
		every := 2 // pixels, both ways; all of them at last
		if round == cellRounds-1 {
			every = 1
		}
		if err := parallel.Ranges(ctx, (s.high+every-1)/every, 8, func(from, to int) {
			for y := from * every; y < min(to*every, s.high); y += every {
				for x := 0; x < s.wide; x += every {
					labels[y*s.wide+x] = s.nearest(centres, cols, rows, side, x, y)
				}
			}
		}); err != nil {
			return nil, err
		}
		s.move(centres, labels, every)
	}
	return labels, nil
}

// nearest returns the centre that is nearest to a pixel, of the nine whose places on the lattice are round it.
func (s *small) nearest(centres []centre, cols, rows int, side float64, x, y int) (best int32) {
	i, least, perSide := y*s.wide+x, math.Inf(1), 1/side
	here := [contrast]float64{float64(s.of[redGreen][i]), float64(s.of[blueGreen][i]), float64(s.of[lightness][i])}
	col, row := x*cols/s.wide, y*rows/s.high
	for r := max(0, row-1); r <= min(rows-1, row+1); r++ {
		for q := max(0, col-1); q <= min(cols-1, col+1); q++ {
			c := &centres[r*cols+q]
			dx, dy := (c.x-float64(x))*perSide, (c.y-float64(y))*perSide
			d := dx*dx + dy*dy
			for f := range here {
				e := c.of[f] - here[f]
				d += e * e * perSD[f]
			}
			if d < least {
				best, least = int32(r*cols+q), d
			}
		}
	}
	return best
}

// move puts every centre at the mean of its pixels, of every so many both ways; one without any stays.
func (s *small) move(centres []centre, labels []int32, every int) {
	sums := make([]centre, len(centres))
	for y := 0; y < s.high; y += every {
		for x := 0; x < s.wide; x += every {
			i := y*s.wide + x
			c := &sums[labels[i]]
			c.x, c.y, c.n = c.x+float64(x), c.y+float64(y), c.n+1
			for f := range c.of {
				c.of[f] += float64(s.of[f][i])
			}
		}
	}
	for k := range sums {
		c := &sums[k]
		if c.n == 0 {
			continue
		}
		c.x, c.y = c.x/c.n, c.y/c.n
		for f := range c.of {
			c.of[f] /= c.n
		}
		centres[k] = *c
	}
}

// leastCell is the share of the usual size under which a patch is no cell of its own.
const leastCell = 1.0 / 8

// connected gives every patch that hangs together a cell of its own; what is too small joins the cell before it.
func connected(labels []int32, wide, high int) (of []int32, cells []cell) {
	of = make([]int32, len(labels))
	for i := range of {
		of[i] = -1
	}
	least := int(leastCell * float64(wide*high) / cellCount)
	var patch []int
	for start := range of {
		if of[start] >= 0 {
			continue
		}
		next := int32(len(cells))
		patch, before := append(patch[:0], start), int32(-1)
		of[start] = next
		for k := 0; k < len(patch); k++ {
			i := patch[k]
			for _, n := range neighbours(i, wide, high) {
				switch {
				case n < 0:
				case of[n] < 0 && labels[n] == labels[start]:
					of[n] = next
					patch = append(patch, n)
				case of[n] >= 0 && of[n] != next:
					before = of[n]
				}
			}
		}
		if len(patch) < least && before >= 0 {
			for _, i := range patch {
				of[i] = before
			}
			continue
		}
		cells = append(cells, cell{})
	}
	return of, cells
}

// neighbours are the four pixels beside one; −1 beyond the picture.
func neighbours(i, wide, high int) [4]int {
	all := [4]int{-1, -1, -1, -1}
	x, y := i%wide, i/wide
	if x > 0 {
		all[0] = i - 1
	}
	if x < wide-1 {
		all[1] = i + 1
	}
	if y > 0 {
		all[2] = i - wide
	}
	if y < high-1 {
		all[3] = i + wide
	}
	return all
}

// leastContrast is added to a cell's contrast before its logarithm.
const leastContrast = 0.01

// describe fills in the size, the middle and the mean features of every cell, and how much lightness changes inside it from one pixel to
// the next but one: grain shows there, a slope of the light hardly.
func (c *Cells) describe(s *small) {
	changes := make([][2]float64, len(c.cells))
	for i, k := range c.of {
		n := &c.cells[k]
		n.size++
		n.x, n.y = n.x+float64(i%c.wide), n.y+float64(i/c.wide)
		for f := range s.of {
			n.mean[f] += float64(s.of[f][i])
		}
		for _, to := range [2]int{i + 2, i + 2*c.wide} {
			if to < len(c.of) && c.of[to] == k {
				d := float64(s.of[lightness][i] - s.of[lightness][to])
				changes[k] = [2]float64{changes[k][0] + d*d, changes[k][1] + 1}
			}
		}
	}
	for k := range c.cells {
		n := &c.cells[k]
		size := float64(max(1, n.size))
		n.x, n.y = n.x/size+0.5, n.y/size+0.5
		for f := range s.of {
			n.mean[f] /= size
		}
		n.mean[contrast] = math.Log(math.Sqrt(changes[k][0]/max(1, changes[k][1])) + leastContrast)
	}
}
