package imageio

import (
	"math"
	"math/rand/v2"

	"huewright/colour"
)

// How finely an area is divided to find the scale of its grain, and how often it is drawn
// again. Our own choice.
const (
	cellsPerAxis  = 96
	fadedAt       = 0.2 // correlation below which two places count as unrelated
	fewestBlocks  = 16  // enough to draw from; rather too short blocks than fewer
	bootstrapRuns = 400
	bootstrapSeed = 0x68756577
)

// samplingRadius is how far, in ΔE00 and 95 times in 100, the mean colour of another piece of
// the same grain of the same size may lie from this one's: the part of a reading's
// uncertainty that comes from which part of the wood was outlined.
//
// Grain is alike over some distance, so pixels are not independent draws. They are drawn with
// replacement in blocks longer than that distance, which is found along both axes.
//
// Source: block bootstrap, Künsch (1989), Annals of Statistics 17(3), 1217–1241; in two
// dimensions, Hall (1985), Stochastic Processes and their Applications 20, 231–246.
func samplingRadius(at []pixelPlace, light []colour.XYZ) float64 {
	if len(at) == 0 {
		return 0
	}
	blocks := divide(at, light).blocks()
	if len(blocks) < 2 {
		return 0
	}
	mean := total(blocks).mean().Lab()
	rng := rand.New(rand.NewPCG(bootstrapSeed, uint64(len(blocks))))
	distances := make([]float64, bootstrapRuns)
	for i := range distances {
		var sum lightSum
		for range blocks {
			sum.join(blocks[rng.IntN(len(blocks))])
		}
		distances[i] = colour.DeltaE2000(mean, sum.mean().Lab())
	}
	n := float64(len(blocks)) // drawn from n blocks, deviations come out √((n−1)/n) too small
	return colour.Quantiles(distances, 0.95)[0] * math.Sqrt(n/(n-1))
}

// lightSum is light added up over n pixels.
type lightSum struct {
	light colour.XYZ
	n     float64
}

func (s *lightSum) join(o lightSum) {
	s.light = colour.XYZ{X: s.light.X + o.light.X, Y: s.light.Y + o.light.Y, Z: s.light.Z + o.light.Z}
	s.n += o.n
}

func (s lightSum) mean() colour.XYZ {
	return colour.XYZ{X: s.light.X / s.n, Y: s.light.Y / s.n, Z: s.light.Z / s.n}
}

func total(sums []lightSum) (all lightSum) {
	for _, s := range sums {
		all.join(s)
	}
	return all
}

// cellGrid is an area cut into small cells, row by row; those outside it have no pixels.
type cellGrid struct {
	columns, rows int
	cells         []lightSum
}

func divide(at []pixelPlace, light []colour.XYZ) cellGrid {
	low, high := at[0], at[0]
	for _, p := range at {
		low.x, low.y = min(low.x, p.x), min(low.y, p.y)
		high.x, high.y = max(high.x, p.x), max(high.y, p.y)
	}
	sizeX, sizeY := cellSize(low.x, high.x, len(at)), cellSize(low.y, high.y, len(at))
	g := cellGrid{columns: int((high.x-low.x)/sizeX) + 1, rows: int((high.y-low.y)/sizeY) + 1}
	g.cells = make([]lightSum, g.columns*g.rows)
	for i, p := range at {
		cell := int((p.y-low.y)/sizeY)*g.columns + int((p.x-low.x)/sizeX)
		g.cells[cell].join(lightSum{light[i], 1})
	}
	return g
}

// cellSize cuts an extent into cellsPerAxis, or into fewer when that left less than about
// four pixels of n in a cell.
func cellSize(low, high int32, n int) int32 {
	across := min(cellsPerAxis, math.Sqrt(float64(n))/2)
	return max(1, int32(math.Ceil(float64(high-low+1)/across)))
}

// blocks joins cells into blocks that reach beyond the grain's correlation along both axes.
func (g cellGrid) blocks() []lightSum {
	width, height := 2*g.reach(1, 0, g.columns), 2*g.reach(0, 1, g.rows)
	for {
		joined := g.join(width, height)
		if len(joined) >= fewestBlocks || width == 1 && height == 1 {
			return joined
		}
		if width*g.rows >= height*g.columns { // the longer one, as a share of its extent
			width = (width + 1) / 2
		} else {
			height = (height + 1) / 2
		}
	}
}

func (g cellGrid) join(width, height int) []lightSum {
	across := (g.columns + width - 1) / width
	blocks := make([]lightSum, across*((g.rows+height-1)/height))
	for i, cell := range g.cells {
		blocks[i/g.columns/height*across+i%g.columns/width].join(cell)
	}
	used := blocks[:0]
	for _, b := range blocks {
		if b.n > 0 {
			used = append(used, b)
		}
	}
	return used
}

// reach is the lag in cells, in the direction given, at which the correlation of luminance
// has faded; extent when it does not.
func (g cellGrid) reach(dx, dy, extent int) int {
	mean := total(g.cells).mean().Y
	for lag := 1; lag < extent; lag++ {
		var product, square, n float64
		for row := 0; row+lag*dy < g.rows; row++ {
			for column := 0; column+lag*dx < g.columns; column++ {
				a, b := g.cells[row*g.columns+column], g.cells[(row+lag*dy)*g.columns+column+lag*dx]
				if a.n > 0 && b.n > 0 {
					da, db := a.mean().Y-mean, b.mean().Y-mean
					product, square, n = product+da*db, square+(da*da+db*db)/2, n+1
				}
			}
		}
		if n == 0 || product <= fadedAt*square {
			return lag
		}
	}
	return max(extent, 1)
}
