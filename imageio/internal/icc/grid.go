package icc

// Channels holds the numbers of one colour on its way through a table profile, each 0–1: at
// most four inks, or three of another kind.
type Channels [4]float64

// grid is a table of colours at the crossings of evenly spaced values of one, three or four
// channels.
type grid struct {
	inputs int
	points [4]int    // along each input, two or more
	values []float32 // three for each crossing; the last input runs fastest
}

// at interpolates: over tetrahedra in the last three inputs, straight in a first of four. The
// specification leaves the way open; on the coarse grids of small profiles the ways differ by
// more than ΔE00 0.1, and this is the usual one.
//
// Source: Sakamoto, Itooka (1981), US patent 4 275 413, expired; the cases as in Kasson, Plouffe,
// Nin (1993), Proc. SPIE 1909, 127–138.
func (g *grid) at(v Channels) Channels {
	var cell [4]int // offset of the lower crossing, then steps to the next along each input
	var part [4]float64
	var step [4]int
	stride := 3
	for i := g.inputs - 1; i >= 0; i-- {
		at := min(max(v[i], 0), 1) * float64(g.points[i]-1)
		lower := min(int(at), g.points[i]-2)
		cell[i], part[i], step[i] = lower*stride, at-float64(lower), stride
		stride *= g.points[i]
	}
	from := cell[0] + cell[1] + cell[2] + cell[3]
	switch g.inputs {
	case 1:
		return mix(g.crossing(from), g.crossing(from+step[0]), part[0])
	case 3:
		return g.tetrahedron(from, part[:3], step[:3])
	}
	return mix(g.tetrahedron(from, part[1:], step[1:]), g.tetrahedron(from+step[0], part[1:], step[1:]), part[0])
}

func (g *grid) crossing(at int) Channels {
	return Channels{float64(g.values[at]), float64(g.values[at+1]), float64(g.values[at+2])}
}

// tetrahedron walks from the lower corner of a cell to the upper one, along the largest part
// first: the corners on the way are those of the tetrahedron that holds the point.
func (g *grid) tetrahedron(from int, part []float64, step []int) Channels {
	order := [3]int{0, 1, 2}
	if part[order[0]] < part[order[1]] {
		order[0], order[1] = order[1], order[0]
	}
	if part[order[1]] < part[order[2]] {
		order[1], order[2] = order[2], order[1]
	}
	if part[order[0]] < part[order[1]] {
		order[0], order[1] = order[1], order[0]
	}
	here := g.crossing(from)
	sum := here
	for _, i := range order {
		from += step[i]
		next := g.crossing(from)
		for k := range 3 {
			sum[k] += part[i] * (next[k] - here[k])
		}
		here = next
	}
	return sum
}

func mix(a, b Channels, share float64) Channels {
	for i := range a {
		a[i] += share * (b[i] - a[i])
	}
	return a
}
