package surround

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A mould is the shape of a repair with its ring, to be laid anywhere on the grid. Its cells are
// counted from its own corner.
type mould struct {
	wide, high  int
	far         []float64 // of each cell from the outline, below 0 inside
	ringEnd     float64   // how far from the outline its ring goes
	origin      place2    // of its corner, where it lies on the repair
	patch, ring []place2
	// edge holds the cells by their distance from the outline, in pixels of the grid: edge[k] from
	// k − edgeReach to one more, below 0 inside.
	edge [2 * edgeReach][]place2
}

// edgeReach is how far on both sides the edge of a patch is looked at, in pixels of the grid.
const edgeReach = 8

// newMould makes the mould of a repair of a size, both on the grid.
func newMould(ctx context.Context, o imageio.Outline, size float64) (*mould, error) {
	low, high := o.Bounds()
	wide := ringGap + ringWide*size
	margin := int(max(wide, edgeReach)) + 1
	m := &mould{ringEnd: wide, origin: place2{int(low.X) - margin, int(low.Y) - margin}}
	m.wide, m.high = int(high.X)-int(low.X)+1+2*margin, int(high.Y)-int(low.Y)+1+2*margin
	moved := imageio.Outline{}
	move := func(points []imageio.Point) (out []imageio.Point) {
		for _, p := range points {
			out = append(out, imageio.Point{X: p.X - float64(m.origin.x), Y: p.Y - float64(m.origin.y)})
		}
		return out
	}
	moved.Points = move(o.Points)
	for _, hole := range o.Holes {
		moved.Holes = append(moved.Holes, move(hole))
	}
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
		at := place2{i % m.wide, i / m.wide}
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
func (m *mould) holds(x, y int) bool {
	return x >= 0 && y >= 0 && x < m.wide && y < m.high && m.far[y*m.wide+x] < 0
}

// contour is the cells that in holds for and that border on one it does not hold for.
func (m *mould) contour(in func(far float64) bool) (line []place2) {
	for y := 1; y+1 < m.high; y++ {
		for x := 1; x+1 < m.wide; x++ {
			i := y*m.wide + x
			if in(m.far[i]) && !(in(m.far[i-1]) && in(m.far[i+1]) && in(m.far[i-m.wide]) && in(m.far[i+m.wide])) {
				line = append(line, place2{x, y})
			}
		}
	}
	return line
}

// distances is how far each cell is from the outline, in cells: half a cell where it borders on it.
func (m *mould) distances(ctx context.Context, inside []bool) ([]float64, error) {
	var border []place2 // cells with a neighbour on the other side
	for y := range m.high {
		for x := range m.wide {
			i := y*m.wide + x
			if x+1 < m.wide && inside[i] != inside[i+1] {
				border = append(border, place2{2*x + 1, 2 * y})
			}
			if y+1 < m.high && inside[i] != inside[i+m.wide] {
				border = append(border, place2{2 * x, 2*y + 1})
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
