package region

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// A Tap is a place that a person touched, in pixels of the photo: on the wood that is meant, or on what does not belong to it.
type Tap struct {
	At imageio.Point `json:"at"`
	No bool          `json:"no,omitempty"`
}

// ParseTaps reads "x,y" and further places; after the word "not" they are on what does not belong to the wood. Every error is a fault of
// kind Use.
func ParseTaps(s string) (taps []Tap, err error) {
	no, yes := false, 0
	for _, word := range strings.Fields(s) {
		if word == "not" {
			no = true
			continue
		}
		at, err := parsePlace(word)
		if err != nil {
			return nil, err
		}
		if taps = append(taps, Tap{At: at, No: no}); !no {
			yes++
		}
	}
	if yes == 0 {
		return nil, fault.New(fault.Use, "tap.none")
	}
	if len(taps) > mostTaps {
		return nil, fault.New(fault.Use, "tap.many", "n", len(taps), "most", mostTaps)
	}
	return taps, nil
}

// TapsText writes taps as ParseTaps reads them.
func TapsText(taps []Tap) string {
	var yes, no []string
	for _, t := range taps {
		word := strconv.FormatFloat(t.At.X, 'g', -1, 64) + "," + strconv.FormatFloat(t.At.Y, 'g', -1, 64)
		if t.No {
			no = append(no, word)
		} else {
			yes = append(yes, word)
		}
	}
	if len(no) > 0 {
		yes = append(append(yes, "not"), no...)
	}
	return strings.Join(yes, " ")
}

// mostTaps on one wood.
const mostTaps = 100

func parsePlace(word string) (at imageio.Point, err error) {
	x, y, found := strings.Cut(word, ",")
	if at.X, err = strconv.ParseFloat(x, 64); err == nil && found {
		at.Y, err = strconv.ParseFloat(y, 64)
	}
	if err != nil || !found || math.IsNaN(at.X+at.Y) || math.IsInf(at.X+at.Y, 0) {
		return at, fault.New(fault.Use, "tap.not-a-place", "word", word)
	}
	return at, nil
}

// How cells are weighed against one another: our own choice, tried on drawn cabinets and on real photos.
const (
	mostLikelihood = 5.0  // ΔlnL between wood and rest beyond which a cell is no surer
	woodColours    = 3    // clusters of a wood from one tap; one more for each further tap
	restColours    = 10   // clusters of all that is not
	takeRounds     = 4    // of colours and cut
	ownReach       = 10.0 // way from the taps within which cells are the wood's, rather
	firstReach     = 0.7  // of the reach: within it cells are taken for the wood at first
	leastCells     = 32   // that are taken at first
	reachWeight    = 3.0  // of a way twice the reach, against likelihood
	mostTwice      = 2.0  // doublings of the reach, and halvings, beyond which the way says no more
	noWeight       = 5.0  // of being nearer to a tap that says no than to one that says yes, against likelihood
	borderWeight   = 5.0  // of a border between cells that look alike, against likelihood
	borderSD       = 1.2  // how unlike cells are between which a border costs little
	sure           = 1e6  // no cut goes through what was tapped
)

// Take grows taps to the wood that they are on, and leaves out what is known to be something else: repairs, slips, test coats, the chart.
// One tap at least must be on the wood; a tap beyond the photo counts as at its edge. The error is the context's.
//
// Each round learns the colours of what is taken and of the rest, and then finds the border of least cost: cells pay for being unlike the
// wood or far from a tap, by way of cells that are unlike one another, and a border pays where both its sides look the same. Where the wood
// and what was tapped with no have one colour, which of the two is nearer decides.
// Source: Boykov and Jolly (2001), Interactive graph cuts, doi:10.1109/ICCV.2001.937505; Rother, Kolmogorov and Blake (2004), for the
// rounds, doi:10.1145/1015706.1015720; the reach and the features are our own.
func (c *Cells) Take(ctx context.Context, taps []Tap, leave []imageio.Outline) (*Mask, error) {
	yes, no := c.tapped(taps)
	slight := c.slight(yes)
	g := growth{near: c.reach(yes, slight), reach: ownReach, fixed: make([]float64, len(c.cells)), colours: woodColours + len(yes) - 1}
	if len(no) > 0 {
		g.far = c.reach(no, slight)
	}
	for _, k := range slices.Concat(no, c.mostlyUnder(leave)) {
		g.fixed[k] = -sure
	}
	for _, k := range yes {
		g.fixed[k] = sure
	}
	first := firstReach * g.reach
	if len(g.near) > leastCells { // a tap on a knot or on late wood, with unlike cells all round it, reaches further
		first = max(first, stat.Quantile(g.near, leastCells/float64(len(g.near))))
		g.reach = max(g.reach, first)
	}
	in := make([]bool, len(c.cells))
	for k := range in {
		in[k] = g.fixed[k] > 0 || g.fixed[k] == 0 && g.near[k] < first && !g.nearerToNo(k)
	}
	for range takeRounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		was := in
		if in = c.round(in, &g); slices.Equal(in, was) { // as all further ones would find it
			break
		}
	}
	return &Mask{cells: c, in: c.withoutSpots(c.hangTogether(in, yes), yes)}, nil
}

// A growth is what taps say of every cell.
type growth struct {
	fixed     []float64 // sure of the wood, −sure of the rest, else 0
	near, far []float64 // the least that a way to it costs, from taps that say yes and from those that say no; far is nil without
	reach     float64   // near, within which cells are the wood's, rather
	colours   int       // clusters of the wood
}

func (g *growth) nearerToNo(k int) bool { return g.far != nil && g.far[k] < g.near[k] }

// gain is how much where a cell lies speaks for the wood. Beside a tap that says no the reach ends where it is as near as those that say
// yes.
func (g *growth) gain(k int) float64 {
	if g.far == nil {
		return -reachWeight * g.doublings(k, g.reach)
	}
	return noWeight*(g.far[k]-g.near[k])/(g.far[k]+g.near[k]) - reachWeight*g.doublings(k, min(g.reach, g.far[k]))
}

// doublings is how often a reach must be doubled to come to a cell.
func (g *growth) doublings(k int, reach float64) float64 {
	return min(max(math.Log2((g.near[k]+aStep)/(reach+aStep)), -mostTwice), mostTwice)
}

// tapped returns the cells under taps.
func (c *Cells) tapped(taps []Tap) (yes, no []int) {
	for _, t := range taps {
		x, y := int(t.At.X/c.step), int(t.At.Y/c.step)
		k := int(c.of[min(max(y, 0), c.high-1)*c.wide+min(max(x, 0), c.wide-1)])
		if t.No {
			no = append(no, k)
		} else {
			yes = append(yes, k)
		}
	}
	return yes, no
}

// mostlyUnder returns the cells of which more than half lies under outlines.
func (c *Cells) mostlyUnder(leave []imageio.Outline) (left []int) {
	covered := make([]int, len(c.cells))
	for _, o := range leave {
		for _, s := range c.scaled(o).Spans(c.wide, c.high) {
			for x := s.X0; x < s.X1; x++ {
				covered[c.of[s.Y*c.wide+x]]++
			}
		}
	}
	for k, n := range covered {
		if 2*n > c.cells[k].size {
			left = append(left, k)
		}
	}
	return left
}

// scaled is an outline in pixels of the small picture.
func (c *Cells) scaled(o imageio.Outline) imageio.Outline {
	return o.Mapped(func(p imageio.Point) imageio.Point { return imageio.Point{X: p.X / c.step, Y: p.Y / c.step} })
}

// round learns the colours of the cells that are in and of the others, and returns those that are in by the cheapest border.
func (c *Cells) round(in []bool, g *growth) []bool {
	var taken, rest []int
	for k := range in {
		if in[k] {
			taken = append(taken, k)
		} else {
			rest = append(rest, k)
		}
	}
	wood := c.fit(taken, g.colours)
	others := c.fit(c.unlike(rest, taken, wood, g), restColours)
	usual := c.usual()
	side := math.Sqrt(usual)
	n := newNetwork(len(c.cells) + 2)
	source, sink := len(c.cells), len(c.cells)+1
	for k := range c.cells {
		gain := g.fixed[k]
		if gain == 0 {
			x := &c.cells[k]
			gain = mostLikelihood
			if others != nil {
				gain = min(max(wood.likelihood(x)-others.likelihood(x), -mostLikelihood), mostLikelihood)
			}
			gain = (gain + g.gain(k)) * float64(x.size) / usual
		}
		if gain > 0 {
			n.join(source, k, gain, 0)
		} else {
			n.join(k, sink, -gain, 0)
		}
	}
	for i := range c.edges {
		e := &c.edges[i]
		d := (e.unlike + e.apart.root()) / 2 / borderSD
		w := borderWeight * e.length / side * math.Exp(-d*d/2)
		n.join(e.a, e.b, w, w)
	}
	return n.cut(source, sink)[:len(c.cells)]
}

// unlike returns the cells of the rest that do not look like wood, or are nearer to a tap that says no: what else looks like a usual cell
// of it, as the next door does, says nothing about the colours of the rest.
func (c *Cells) unlike(rest, taken []int, wood mixture, g *growth) (out []int) {
	of := make([]float64, len(taken))
	for i, k := range taken {
		of[i] = wood.likelihood(&c.cells[k])
	}
	usual := stat.Quantile(of, 0.25)
	for _, k := range rest {
		if g.nearerToNo(k) || wood.likelihood(&c.cells[k]) < usual {
			out = append(out, k)
		}
	}
	return out
}

// hangTogether drops what is in but hangs together with no tapped cell.
func (c *Cells) hangTogether(in []bool, yes []int) []bool {
	out := make([]bool, len(in))
	var front []int
	for _, k := range yes {
		if !out[k] {
			out[k] = true
			front = append(front, k)
		}
	}
	for len(front) > 0 {
		at := front[len(front)-1]
		front = front[:len(front)-1]
		for k := range c.steps(at, difference{}) {
			if in[k] && !out[k] {
				out[k] = true
				front = append(front, k)
			}
		}
	}
	return out
}
