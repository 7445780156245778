package imageio

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// A Paper is what may be a slip of plain white paper: something small, even, pale and straight-edged.
type Paper struct {
	Outline Outline    // well inside it
	Light   [3]float64 // linear red, green and blue, as the photo has them
}

const (
	// A slip is between these shares of the photo's pixels: smaller ones cannot be read well, and larger
	// pale things are walls, doors and sheets.
	leastPaper, mostPaper = 0.0002, 0.03
	// castOfPaper is how far white paper may be from grey, as the natural logarithm of a ratio of two
	// channels: a phone's white balance is off by 15 % at most, and garage light is uneven in colour.
	castOfPaper = 0.22
	// dullest is the least light that paper has beside the brightest that is not burnt out.
	dullest = 0.35
	// mostPapers is how many are proposed: who tapes more round the piece outlines the rest by hand.
	mostPapers = 6
	// asLight is how much of the likeliest one's light the others have at least: slips of one paper lie in
	// one light, but for what falls off.
	asLight = 0.6
	// inPaper is how much of a slip, along each side, the outline takes: clear of its edge and shadow.
	inPaper = 0.7
	// leastPaperPixels is what an outline must hold at least.
	leastPaperPixels = 300
)

// FindPaper looks for slips of paper, the likeliest first. They are proposals, for a person to agree to:
// a switch on a wall is as pale, as even and as straight. What lies on a chart, whose corners are given
// where there is one, is left out.
func (p *Photo) FindPaper(ctx context.Context, chart *[4]Point) []Paper {
	side := max(p.Width, p.Height)
	t := p.thumb(ctx, (side+tiledSide-1)/tiledSide, nil, 0)
	brightest := t.brightest()
	var found []Paper
	var rank []float64
	for _, b := range t.blobs(ctx) {
		light, pale := paperLight(b.colour)
		share := b.area / float64(t.wide*t.high)
		if share < leastPaper || share > mostPaper || !pale || light[1] < dullest*brightest {
			continue
		}
		o := b.inside(t.scale)
		middle := Point{b.at.X * t.scale, b.at.Y * t.scale}
		if chart != nil && (&finding{corners: grown(*chart, 1.25)}).holds(middle) {
			continue
		}
		if o.on(p) != nil || countPixels(o.spans(p.Width, p.Height)) < leastPaperPixels || p.burnt(o) {
			continue
		}
		found, rank = append(found, Paper{o, light}), append(rank, light[1]/brightest-2*castOf(light))
	}
	order := make([]int, len(found))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rank[b], rank[a]) })
	var best []Paper
	for _, i := range order {
		again := slices.ContainsFunc(best, func(b Paper) bool {
			return apartBy(b.Outline.Centre(), found[i].Outline.Centre()) < 0.02*float64(side)
		})
		if len(best) < mostPapers && !again && (len(best) == 0 || found[i].Light[1] >= asLight*best[0].Light[1]) {
			best = append(best, found[i])
		}
	}
	return best
}

// paperLight is the light of a blob, and whether it is near enough to grey.
func paperLight(codes [3]float64) (light [3]float64, pale bool) {
	for k, c := range codes {
		light[k] = c / 255 * c / 255
	}
	return light, castOf(light) <= castOfPaper
}

// castOf is how far light is from grey.
func castOf(light [3]float64) float64 {
	low, high := min(light[0], light[1], light[2]), max(light[0], light[1], light[2])
	return math.Log(max(high, 1e-6) / max(low, 1e-6))
}

// brightest is the light that one pixel in a hundred of the thumb exceeds.
func (t *thumb) brightest() float64 {
	var count [256]int
	for i := 1; i < len(t.codes); i += 3 {
		count[t.codes[i]]++
	}
	left := t.wide * t.high / 100
	code := 255
	for ; code > 0 && left > 0; code-- {
		left -= count[code]
	}
	return float64(code) / 255 * float64(code) / 255
}

// inside is the middle of a blob's parallelogram, in pixels of the photo.
func (b *blob) inside(scale float64) Outline {
	// A parallelogram has its axes along the eigenvectors, as far as it is a rectangle: half a side is √3
	// standard deviations.
	mid, half := (b.xx+b.yy)/2, math.Hypot((b.xx-b.yy)/2, b.xy)
	angle := math.Atan2(2*b.xy, b.xx-b.yy) / 2
	if half < 0.05*mid { // a square: its axes are anybody's guess, so stay within the circle in it
		angle = 0
		mid *= 0.6
	}
	long, short := math.Sqrt(3*(mid+half))*inPaper, math.Sqrt(3*(mid-half))*inPaper
	sin, cos := math.Sincos(angle)
	var o Outline
	for _, c := range [4]Point{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		x, y := c.X*long, c.Y*short
		o.Points = append(o.Points, Point{math.Round(scale * (b.at.X + x*cos - y*sin)), math.Round(scale * (b.at.Y + x*sin + y*cos))})
	}
	return o
}

// burnt reports whether the photo cannot hold the light of an outline.
func (p *Photo) burnt(o Outline) bool {
	clipped, n := 0, 0
	for _, s := range o.spans(p.Width, p.Height) {
		for x := s.x0; x < s.x1; x += 3 {
			n++
			if p.Clipped(x, s.y) {
				clipped++
			}
		}
	}
	return 50*clipped > n
}

func apartBy(a, b Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// grown is a quadrilateral scaled about its middle.
func grown(q [4]Point, by float64) [4]Point {
	m := planeOf(q).point(0.5, 0.5)
	for i := range q {
		q[i] = Point{m.X + by*(q[i].X-m.X), m.Y + by*(q[i].Y-m.Y)}
	}
	return q
}
