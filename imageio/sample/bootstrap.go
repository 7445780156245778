package sample

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/stat"
)

// How finely an area is divided to find the scale of its grain, and how often it is drawn
// again. Our own choice.
const (
	cellsPerAxis  = 96
	fadedAt       = 0.2 // correlation below which two places count as unrelated
	blockReaches  = 4   // a block's side in lengths of correlation
	fewestBlocks  = 12  // enough to draw from; rather too short blocks than fewer
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
func samplingRadius(at []imageio.Pixel, light []colour.XYZ) float64 {
	if len(at) == 0 {
		return 0
	}
	grid := divide(at, light).blocks()
	blocks := grid.used()
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
	return stat.Quantile(distances, 0.95) * fewBlocksFactor(len(blocks)) * grid.neighbourFactor()
}

// fewBlocksFactor makes up for what drawing from few blocks leaves out: deviations come out
// √((n−1)/n) too small, and their own size is known from n−1 degrees of freedom only.
func fewBlocksFactor(n int) float64 {
	student := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}
	return math.Sqrt(float64(n)/float64(n-1)) * student.Quantile(0.975) / distuv.UnitNormal.Quantile(0.975)
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
	mean          float64 // luminance of the whole area
}

func divide(at []imageio.Pixel, light []colour.XYZ) cellGrid {
	low, high := at[0], at[0]
	for _, p := range at {
		low.X, low.Y = min(low.X, p.X), min(low.Y, p.Y)
		high.X, high.Y = max(high.X, p.X), max(high.Y, p.Y)
	}
	sizeX, sizeY := cellSize(low.X, high.X, len(at)), cellSize(low.Y, high.Y, len(at))
	g := cellGrid{columns: int((high.X-low.X)/sizeX) + 1, rows: int((high.Y-low.Y)/sizeY) + 1}
	g.cells = make([]lightSum, g.columns*g.rows)
	for i, p := range at {
		cell := int((p.Y-low.Y)/sizeY)*g.columns + int((p.X-low.X)/sizeX)
		g.cells[cell].join(lightSum{light[i], 1})
	}
	g.mean = total(g.cells).mean().Y
	return g
}

// cellSize cuts an extent into cellsPerAxis, or into fewer when that left less than about
// four pixels of n in a cell.
func cellSize(low, high int32, n int) int32 {
	across := min(cellsPerAxis, math.Sqrt(float64(n))/2)
	return max(1, int32(math.Ceil(float64(high-low+1)/across)))
}

// blocks joins cells into blocks that reach beyond the grain's correlation along both axes.
func (g cellGrid) blocks() cellGrid {
	width, height := blockReaches*g.reach(1, 0, g.columns), blockReaches*g.reach(0, 1, g.rows)
	for {
		joined := g.join(width, height)
		if len(joined.used()) >= fewestBlocks || width == 1 && height == 1 {
			return joined
		}
		if width*g.rows >= height*g.columns { // the longer one, as a share of its extent
			width = (width + 1) / 2
		} else {
			height = (height + 1) / 2
		}
	}
}

func (g cellGrid) join(width, height int) cellGrid {
	joined := cellGrid{columns: (g.columns + width - 1) / width, rows: (g.rows + height - 1) / height, mean: g.mean}
	joined.cells = make([]lightSum, joined.columns*joined.rows)
	for i, cell := range g.cells {
		joined.cells[i/g.columns/height*joined.columns+i%g.columns/width].join(cell)
	}
	return joined
}

func (g cellGrid) used() []lightSum {
	var used []lightSum
	for _, cell := range g.cells {
		if cell.n > 0 {
			used = append(used, cell)
		}
	}
	return used
}

// reach is the lag in cells, in the direction given, at which the correlation of luminance
// has faded; extent when it does not.
func (g cellGrid) reach(dx, dy, extent int) int {
	for lag := 1; lag < extent; lag++ {
		if g.correlation(lag*dx, lag*dy) <= fadedAt {
			return lag
		}
	}
	return max(extent, 1)
}

// correlation is that of the mean luminances of cells so many columns and rows apart, 0 when
// there are none.
func (g cellGrid) correlation(columns, rows int) float64 {
	var product, square float64
	for row := 0; row+rows < g.rows; row++ {
		for column := 0; column+columns < g.columns; column++ {
			a, b := g.cells[row*g.columns+column], g.cells[(row+rows)*g.columns+column+columns]
			if a.n > 0 && b.n > 0 {
				da, db := a.mean().Y-g.mean, b.mean().Y-g.mean
				product, square = product+da*db, square+(da*da+db*db)/2
			}
		}
	}
	if square == 0 {
		return 0
	}
	return product / square
}

// neighbourFactor makes up for the likeness that blocks still have to those beside them,
// which drawing them one by one leaves out: the variance of a mean of a row of n blocks is
// 1 + 2ρ(n−1)/n times that of independent ones.
func (g cellGrid) neighbourFactor() float64 {
	along := func(n int, correlation float64) float64 {
		return 1 + 2*max(correlation, 0)*float64(n-1)/float64(n)
	}
	return math.Sqrt(along(g.columns, g.correlation(1, 0)) * along(g.rows, g.correlation(0, 1)))
}
