package surround

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A cell is a place on the grid, or in the template from its own corner.
type cell struct{ x, y int }

// A template is the mask of a repair and of the ring round it, to be laid anywhere on the grid.
type template struct {
	wide, high  int
	far         []float64 // of each cell from the outline, below 0 inside
	ringEnd     float64   // how far from the outline its ring goes
	origin      cell      // of its corner, where it lies on the repair
	patch, ring []cell
	// edge holds the cells by their distance from the outline, in pixels of the grid: edge[k] from
	// k − edgeReach to one more, below 0 inside.
	edge [2 * edgeReach][]cell
}

// The ring of a repair. Our own choices.
const (
	ringWide = 0.35 // in the repair's own size
	ringGap  = 2.0  // pixels of the grid between a patch and its ring
)

// edgeReach is how far on both sides the edge of a patch is looked at, in pixels of the grid.
const edgeReach = 8

// newTemplate makes the template of a repair whose area is size², both on the grid.
func newTemplate(ctx context.Context, o imageio.Outline, size float64) (*template, error) {
	low, high := o.Bounds()
	wide := ringGap + ringWide*size
	margin := int(max(wide, edgeReach)) + 1
	m := &template{ringEnd: wide, origin: cell{int(low.X) - margin, int(low.Y) - margin}}
	m.wide, m.high = int(high.X)-int(low.X)+1+2*margin, int(high.Y)-int(low.Y)+1+2*margin
	moved := o.Mapped(func(p imageio.Point) imageio.Point {
		return imageio.Point{X: p.X - float64(m.origin.x), Y: p.Y - float64(m.origin.y)}
	})
	inside := make([]bool, m.wide*m.high)
	for _, s := range moved.Spans(m.wide, m.high) {
		for x := s.X0; x < s.X1; x++ {
			inside[s.Y*m.wide+x] = true
		}
	}
	far, err := m.distances(ctx, inside)
	if err != nil {
		return nil, err
	}
	for i, d := range far {
		at := cell{i % m.wide, i / m.wide}
		if inside[i] {
			m.patch = append(m.patch, at)
			d = -d
			far[i] = d
		} else if d > ringGap && d <= m.ringEnd {
			m.ring = append(m.ring, at)
		}
		if k := int(math.Floor(d)) + edgeReach; k >= 0 && k < len(m.edge) {
			m.edge[k] = append(m.edge[k], at)
		}
	}
	m.far = far
	return m, nil
}

// holds reports whether a cell is of the patch.
func (m *template) holds(x, y int) bool {
	return x >= 0 && y >= 0 && x < m.wide && y < m.high && m.far[y*m.wide+x] < 0
}

// contour is the cells that in holds for and that border on one it does not hold for.
func (m *template) contour(in func(far float64) bool) (line []cell) {
	for y := 1; y+1 < m.high; y++ {
		for x := 1; x+1 < m.wide; x++ {
			i := y*m.wide + x
			if in(m.far[i]) && !(in(m.far[i-1]) && in(m.far[i+1]) && in(m.far[i-m.wide]) && in(m.far[i+m.wide])) {
				line = append(line, cell{x, y})
			}
		}
	}
	return line
}

// distances is how far each cell is from the outline, in cells: half a cell where it borders on it.
func (m *template) distances(ctx context.Context, inside []bool) ([]float64, error) {
	var border []cell // cells with a neighbour on the other side
	for y := range m.high {
		for x := range m.wide {
			i := y*m.wide + x
			if x+1 < m.wide && inside[i] != inside[i+1] {
				border = append(border, cell{2*x + 1, 2 * y})
			}
			if y+1 < m.high && inside[i] != inside[i+m.wide] {
				border = append(border, cell{2 * x, 2*y + 1})
			}
		}
	}
	far := make([]float64, len(inside))
	if err := parallel.Ranges(ctx, m.high, 4, func(from, to int) {
		for i := from * m.wide; i < to*m.wide; i++ {
			x, y, least := 2*(i%m.wide), 2*(i/m.wide), math.MaxInt
			for _, b := range border {
				least = min(least, (b.x-x)*(b.x-x)+(b.y-y)*(b.y-y))
			}
			far[i] = math.Sqrt(float64(least)) / 2
		}
	}); err != nil {
		return nil, err
	}
	return far, nil
}
