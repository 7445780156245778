package imageio

// A quiet map says in which parts of a photo no chart can lie, for want of colours: a chart
// has red and green patches and blue and yellow ones close together, in any light. Wood, walls
// and grey things are passed over, which is most of the work where there is no chart.
type quietMap struct {
	side          int // pixels of the photo that a tile is wide and high
	columns, rows int
	quiet         []bool
}

const (
	// quietTile is how wide and high a tile is, in pixels of the thumb; what lies within
	// quietReach tiles of it speaks for it too.
	quietTile, quietReach = 32, 2
	// leastSpread is by how much the colours of a chart's surroundings differ at least, in
	// red less green and in blue less green, as shares of all three square roots of light
	// times colourScale. Of a chart as it should be they differ by 0.82 and 0.72.
	leastSpread = colourScale / 6
	colourScale = 240
	// tooDark is below what code the colour of a pixel is noise.
	tooDark = 30
)

// A spread is the range of colours in some part of a photo.
type spread struct{ low, high [2]int16 }

var noSpread = spread{[2]int16{colourScale, colourScale}, [2]int16{-colourScale, -colourScale}}

func (s *spread) take(o spread) {
	for k := range s.low {
		s.low[k], s.high[k] = min(s.low[k], o.low[k]), max(s.high[k], o.high[k])
	}
}

func (s *spread) quiet() bool {
	return s.high[0]-s.low[0] < leastSpread || s.high[1]-s.low[1] < leastSpread
}

// quietness finds the quiet parts, and whether the whole photo is quiet.
func (t *thumb) quietness() (m *quietMap, all bool) {
	m = &quietMap{
		side:    quietTile * int(t.scale),
		columns: (t.wide + quietTile - 1) / quietTile, rows: (t.high + quietTile - 1) / quietTile,
	}
	m.quiet = make([]bool, m.columns*m.rows)
	tiles := make([]spread, m.columns*m.rows)
	inParts(m.rows, 1, func(row, _ int) {
		for column := range m.columns {
			tiles[row*m.columns+column] = t.spreadIn(column*quietTile, row*quietTile)
		}
	})
	whole := noSpread
	for _, s := range tiles {
		whole.take(s)
	}
	for row := range m.rows {
		for column := range m.columns {
			near := noSpread
			for y := max(0, row-quietReach); y < min(m.rows, row+quietReach+1); y++ {
				for x := max(0, column-quietReach); x < min(m.columns, column+quietReach+1); x++ {
					near.take(tiles[y*m.columns+x])
				}
			}
			m.quiet[row*m.columns+column] = near.quiet()
		}
	}
	return m, whole.quiet()
}

// spreadIn is the range of colours in the tile that begins at a pixel.
func (t *thumb) spreadIn(x0, y0 int) spread {
	s := noSpread
	for y := y0; y < min(y0+quietTile, t.high); y++ {
		row := t.codes[3*(y*t.wide+x0) : 3*(y*t.wide+min(x0+quietTile, t.wide))]
		for ; len(row) >= 3; row = row[3:] {
			r, g, b := int(row[0]), int(row[1]), int(row[2])
			if max(r, g, b) < tooDark {
				continue
			}
			per := 1<<16/(r+g+b) + 1
			c := [2]int16{int16((r - g) * per * colourScale >> 16), int16((b - g) * per * colourScale >> 16)}
			s.take(spread{c, c})
		}
	}
	return s
}

// at reports whether the tile over a pixel of the photo is quiet, and how far it reaches. Beyond
// the whole tiles the last one answers. A nil map has no quiet place.
func (m *quietMap) at(x, y int) (quiet bool, until int) {
	if m == nil {
		return false, 1 << 30
	}
	column, row := min(x/m.side, m.columns-1), min(y/m.side, m.rows-1)
	if until = (column + 1) * m.side; column == m.columns-1 {
		until = 1 << 30
	}
	return m.quiet[row*m.columns+column], until
}
