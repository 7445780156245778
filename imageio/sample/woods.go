package sample

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/fault"
)

// When an area is told to be of two colours. Our own choice, on swatches of 26 real woods under drawn light: see TestTwoWoodsOnRealWood.
const (
	woodCells     = 12   // cells along each side of an area, whose means even the grain out
	leastCellPart = 0.25 // of the pixels that a cell has on average
	leastCells    = 24
	leastPart     = 0.08 // of the cells, in the lesser part
	leastApart    = 3.2  // distance of the parts over their standard deviation: light that changes evenly has 2.8 to 3.5
	leastTogether = 0.85 // of neighbouring cells are in one part: grain is not
	leastHueApart = 4.0  // in the plane of a* and b*, at one lightness, to be two woods
	leastLApart   = 7.0  // of L*, to be two parts of one hue
	shadowRed     = 2.0  // of a*, by which a shadow's hue is off at most
	shadowBlue    = 7.0  // of b*, by which a shadow is bluer at most, out of doors
	meansRounds   = 20
	// overSmooth is how much is left of L*, at most, about two parts, over what is left about light that changes smoothly.
	overSmooth = 0.7
)

// A woodCell is the mean of a small part of an area. Its hue is that of its light at the lightness of the area, which the amount of light
// leaves as it is.
type woodCell struct{ l, a, b float64 }

// parts warns of an area whose cells fall into two parts that lie each together: two woods, where their hue differs, or a shadow's edge. It
// is empty for one wood, however the light changes over it.
func parts(at []imageio.Pixel, light []colour.XYZ) fault.Note {
	cells, places := cellsOf(at, light)
	if len(cells) < leastCells {
		return fault.Note{}
	}
	// By hue alone first: where light changes over two woods, lightness hides them.
	byHue := twoParts(cells, places, 0)
	if byHue.told && !byHue.shadow() && byHue.hueApart() >= leastHueApart {
		return fault.Say("area.two-woods", "share", byHue.share)
	}
	both := twoParts(cells, places, 1)
	switch {
	case !both.told:
	case both.hueApart() >= leastHueApart && !both.shadow():
		return fault.Say("area.two-woods", "share", both.share)
	case math.Abs(both.apart.l) >= leastLApart && both.leftL < overSmooth*smoothLeft(cells, places):
		return fault.Say("area.two-parts", "share", both.share)
	}
	return fault.Note{}
}

// cellsOf are the means of an area over a lattice, and where each stands; cells with few pixels are left out.
func cellsOf(at []imageio.Pixel, light []colour.XYZ) (cells []woodCell, places map[[2]int]int) {
	if len(at) == 0 {
		return nil, nil
	}
	x0, y0, x1, y1 := at[0].X, at[0].Y, at[0].X, at[0].Y
	var whole colour.XYZ
	for i, p := range at {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
		whole.Y += light[i].Y / float64(len(at))
	}
	side := max(float64(max(x1-x0, y1-y0)+1)/woodCells, 1)
	var sums [woodCells][woodCells]lightSum
	used := 0.0
	for i, p := range at {
		s := &sums[int(float64(p.Y-y0)/side)][int(float64(p.X-x0)/side)]
		if s.n == 0 {
			used++
		}
		s.join(lightSum{light[i], 1})
	}
	least := leastCellPart * float64(len(at)) / used
	places = map[[2]int]int{}
	for row := range woodCells {
		for column := range woodCells {
			cell := &sums[row][column]
			s := cell.light
			if cell.n < least || !(s.Y > 0) {
				continue
			}
			level := whole.Y / s.Y
			hue := colour.XYZ{X: s.X * level, Y: s.Y * level, Z: s.Z * level}.Lab()
			places[[2]int{column, row}] = len(cells)
			cells = append(cells, woodCell{cell.mean().Lab().L, hue.A, hue.B})
		}
	}
	return cells, places
}

// A division is an area in two parts.
type division struct {
	told  bool     // they are two, and each lies together
	share float64  // of the lesser
	apart woodCell // the lesser's mean less the greater's
	leftL float64  // standard deviation of L* about the means of the parts
}

func (d *division) hueApart() float64 { return math.Hypot(d.apart.a, d.apart.b) }

// shadow reports whether the hues differ as those of one wood do in light and in shadow: what is darker is bluer, if anything.
func (d *division) shadow() bool {
	darker := d.apart
	if darker.l > 0 {
		darker = woodCell{-darker.l, -darker.a, -darker.b}
	}
	return darker.l <= -leastLApart/2 && math.Abs(darker.a) <= shadowRed && darker.b <= shadowRed && darker.b >= -shadowBlue
}

// twoParts divides cells in two by their means: Lloyd's algorithm from the two ends of the widest spread. Lightness counts by its weight.
func twoParts(cells []woodCell, places map[[2]int]int, byLightness float64) (d division) {
	first := farthest(cells, mean(cells, nil, false), byLightness)
	second := farthest(cells, first, byLightness)
	in := make([]bool, len(cells))
	for range meansRounds {
		changed := false
		for i, c := range cells {
			now := distance(c, second, byLightness) < distance(c, first, byLightness)
			changed, in[i] = changed || now != in[i], now
		}
		if !changed {
			break
		}
		first, second = mean(cells, in, false), mean(cells, in, true)
	}
	n := 0
	for _, is := range in {
		if is {
			n++
		}
	}
	d.share = float64(n) / float64(len(cells))
	d.apart = woodCell{second.l - first.l, second.a - first.a, second.b - first.b}
	if d.share > 0.5 {
		d.share, d.apart = 1-d.share, woodCell{-d.apart.l, -d.apart.a, -d.apart.b}
	}
	gap, square := distance(first, second, byLightness), 0.0
	for i, c := range cells {
		middle := first
		if in[i] {
			middle = second
		}
		off := (byLightness*byLightness*(c.l-middle.l)*(second.l-first.l) + (c.a-middle.a)*(second.a-first.a) +
			(c.b-middle.b)*(second.b-first.b)) / max(gap, 1e-9)
		square += off * off / float64(len(cells))
		d.leftL += (c.l - middle.l) * (c.l - middle.l) / float64(len(cells))
	}
	d.leftL = math.Sqrt(d.leftL)
	d.told = d.share >= leastPart && gap > leastApart*math.Sqrt(square) && together(places, in) >= leastTogether
	return d
}

// smoothLeft is the standard deviation of L* about a quadratic surface over the cells: light that changes smoothly.
func smoothLeft(cells []woodCell, places map[[2]int]int) float64 {
	terms := mat.NewDense(len(cells), 6, nil)
	seen := mat.NewVecDense(len(cells), nil)
	for at, i := range places {
		x, y := float64(at[0])/woodCells, float64(at[1])/woodCells
		terms.SetRow(i, []float64{1, x, y, x * x, x * y, y * y})
		seen.SetVec(i, cells[i].l)
	}
	by, ok := plane.LeastSquares(terms, seen)
	if !ok {
		return 0
	}
	var left mat.VecDense
	left.MulVec(terms, mat.NewVecDense(6, by))
	left.SubVec(seen, &left)
	return mat.Norm(&left, 2) / math.Sqrt(float64(len(cells)))
}

// together is the share of neighbouring cells that are in one part.
func together(places map[[2]int]int, in []bool) float64 {
	same, all := 0.0, 0.0
	for at, i := range places {
		for _, next := range [2][2]int{{at[0] + 1, at[1]}, {at[0], at[1] + 1}} {
			if k, ok := places[next]; ok {
				all++
				if in[i] == in[k] {
					same++
				}
			}
		}
	}
	return same / max(all, 1)
}

func distance(p, q woodCell, byLightness float64) float64 {
	return math.Sqrt(byLightness*byLightness*(p.l-q.l)*(p.l-q.l) + (p.a-q.a)*(p.a-q.a) + (p.b-q.b)*(p.b-q.b))
}

// mean is that of the cells of one part; of all where nothing is divided.
func mean(cells []woodCell, in []bool, part bool) (m woodCell) {
	n := 0.0
	for i, c := range cells {
		if in == nil || in[i] == part {
			m, n = woodCell{m.l + c.l, m.a + c.a, m.b + c.b}, n+1
		}
	}
	n = max(n, 1)
	return woodCell{m.l / n, m.a / n, m.b / n}
}

func farthest(cells []woodCell, from woodCell, byLightness float64) (far woodCell) {
	most := -1.0
	for _, c := range cells {
		if d := distance(c, from, byLightness); d > most {
			far, most = c, d
		}
	}
	return far
}
