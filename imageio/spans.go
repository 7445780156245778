package imageio

import (
	"math"
	"slices"
)

// A Span is a run of pixels in one row: X0 ≤ x < X1.
type Span struct{ Y, X0, X1 int }

// Spans lists the pixels whose centre lies inside a part of the outline and in no hole, top to bottom
// and left to right. A centre on a side belongs to the right and the lower neighbour, so
// outlines that share a side share no pixel.
//
// Note: even and odd crossings are counted over the polygon and its holes together, so a hole
// that leaves the polygon would add where it should take away; each hole is therefore cut
// separately.
func (o Outline) Spans(width, height int) []Span {
	var out []Span
	low, high := o.Bounds()
	y0 := int(max(0, math.Ceil(low.Y-0.5)))
	y1 := int(min(float64(height), math.Ceil(high.Y-0.5)))
	for y := y0; y < y1; y++ {
		row := ringSpans(nil, o.Points, y, width)
		for _, part := range o.More {
			row = joined(row, ringSpans(nil, part, y, width))
		}
		for _, hole := range o.Holes {
			row = cutOut(row, ringSpans(nil, hole, y, width))
		}
		out = append(out, row...)
	}
	return out
}

// ringSpans appends the runs of row y whose centres a polygon encloses.
func ringSpans(out []Span, ring []Point, y, width int) []Span {
	centre := float64(y) + 0.5
	var cuts []float64
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if p.Y > q.Y {
			p, q = q, p // the same sum for both outlines that share the side
		}
		if p.Y <= centre && centre < q.Y {
			cuts = append(cuts, p.X+(centre-p.Y)/(q.Y-p.Y)*(q.X-p.X))
		}
	}
	slices.Sort(cuts)
	first := func(cut float64) int { return int(min(max(math.Ceil(cut-0.5), 0), float64(width))) }
	for i := 0; i+1 < len(cuts); i += 2 {
		if x0, x1 := first(cuts[i]), first(cuts[i+1]); x0 < x1 {
			out = append(out, Span{y, x0, x1})
		}
	}
	return out
}

// joined are the runs of a row that are in one of two, in order.
func joined(a, b []Span) (out []Span) {
	all := slices.Concat(a, b)
	slices.SortFunc(all, func(a, b Span) int { return a.X0 - b.X0 })
	for _, s := range all {
		if last := len(out) - 1; last >= 0 && s.X0 <= out[last].X1 {
			out[last].X1 = max(out[last].X1, s.X1)
			continue
		}
		out = append(out, s)
	}
	return out
}

// cutOut cuts the runs of holes out of a row. Both are in order.
func cutOut(row, holes []Span) []Span {
	var out []Span
	for _, s := range row {
		for _, hole := range holes {
			if hole.X1 <= s.X0 || hole.X0 >= s.X1 {
				continue
			}
			if hole.X0 > s.X0 {
				out = append(out, Span{s.Y, s.X0, hole.X0})
			}
			s.X0 = hole.X1
			if s.X0 >= s.X1 {
				break
			}
		}
		if s.X0 < s.X1 {
			out = append(out, s)
		}
	}
	return out
}

// CountPixels is the number of pixels in the runs.
func CountPixels(spans []Span) int {
	n := 0
	for _, s := range spans {
		n += s.X1 - s.X0
	}
	return n
}
