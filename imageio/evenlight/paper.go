package evenlight

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/plane"
)

// A Paper is what may be a slip of plain white paper: something small, even, pale and straight-edged.
type Paper struct {
	Outline imageio.Outline // well inside it
	light   [3]float64      // linear red, green and blue, as the photo has them
}

const (
	// searchSide is how long the downsampled picture is at most that slips are looked for in, in pixels.
	searchSide = 1024
	// A slip is between these shares of the photo's pixels: smaller ones cannot be read well, and larger
	// pale things are walls, doors and sheets.
	leastPaper, mostPaper = 0.0002, 0.03
	// mostCast is how far white paper may be from grey, as the natural logarithm of a ratio of two
	// channels: a phone's white balance is off by 15 % at most, and garage light is uneven in colour.
	mostCast = 0.22
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
func FindPaper(ctx context.Context, p *imageio.Photo, chart *[4]imageio.Point) ([]Paper, error) {
	side := max(p.Width, p.Height)
	t, err := blob.Downsample(ctx, p, (side+searchSide-1)/searchSide, nil)
	if err != nil {
		return nil, err
	}
	brightest := brightest(t)
	var found []Paper
	var rank []float64
	blobs, err := t.Blobs(ctx)
	if err != nil {
		return nil, err
	}
	for _, b := range blobs {
		light, pale := paperLight(b.Colour)
		share := b.Area / float64(t.Wide*t.High)
		if share < leastPaper || share > mostPaper || !pale || light[1] < dullest*brightest {
			continue
		}
		o := inside(&b, t.Scale)
		middle := imageio.Point{X: b.At.X * t.Scale, Y: b.At.Y * t.Scale}
		if chart != nil && plane.Encloses(grown(*chart, 1.25), middle) {
			continue
		}
		if o.CheckOn(p) != nil || imageio.CountPixels(o.Spans(p.Width, p.Height)) < leastPaperPixels || burnt(p, o) {
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
			return distance(b.Outline.Centre(), found[i].Outline.Centre()) < 0.02*float64(side)
		})
		if len(best) < mostPapers && !again && (len(best) == 0 || found[i].light[1] >= asLight*best[0].light[1]) {
			best = append(best, found[i])
		}
	}
	return best, nil
}

// paperLight is the light of a blob, and whether it is near enough to grey.
func paperLight(codes [3]float64) (light [3]float64, pale bool) {
	for k, c := range codes {
		light[k] = c / 255 * c / 255
	}
	return light, castOf(light) <= mostCast
}

// castOf is how far light is from grey.
func castOf(light [3]float64) float64 {
	low, high := min(light[0], light[1], light[2]), max(light[0], light[1], light[2])
	return math.Log(max(high, 1e-6) / max(low, 1e-6))
}

// brightest is the light that one pixel in a hundred of the picture exceeds.
func brightest(t *blob.Downsampled) float64 {
	var count [256]int
	for i := 1; i < len(t.Codes); i += 3 {
		count[t.Codes[i]]++
	}
	left := t.Wide * t.High / 100
	code := 255
	for ; code > 0 && left > 0; code-- {
		left -= count[code]
	}
	return float64(code) / 255 * float64(code) / 255
}

// inside is the middle of a blob's parallelogram, in pixels of the photo.
func inside(b *blob.Blob, scale float64) imageio.Outline {
	// A parallelogram has its axes along the eigenvectors, as far as it is a rectangle: half a side is √3
	// standard deviations.
	mid, half := (b.XX+b.YY)/2, math.Hypot((b.XX-b.YY)/2, b.XY)
	angle := math.Atan2(2*b.XY, b.XX-b.YY) / 2
	if half < 0.05*mid { // a square: its axes may point anywhere, so stay within the circle in it
		angle = 0
		mid *= 0.6
	}
	long, short := math.Sqrt(3*(mid+half))*inPaper, math.Sqrt(3*(mid-half))*inPaper
	sin, cos := math.Sincos(angle)
	var o imageio.Outline
	for _, c := range [4]imageio.Point{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}} {
		x, y := c.X*long, c.Y*short
		o.Points = append(o.Points, imageio.Point{
			X: math.Round(scale * (b.At.X + x*cos - y*sin)), Y: math.Round(scale * (b.At.Y + x*sin + y*cos)),
		})
	}
	return o
}

// burnt reports whether the photo cannot hold the light of an outline.
func burnt(p *imageio.Photo, o imageio.Outline) bool {
	clipped, n := 0, 0
	for _, s := range o.Spans(p.Width, p.Height) {
		for x := s.X0; x < s.X1; x += 3 {
			n++
			if p.Clipped(x, s.Y) {
				clipped++
			}
		}
	}
	return 50*clipped > n
}

func distance(a, b imageio.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// grown is a quadrilateral scaled about its middle.
func grown(q [4]imageio.Point, by float64) [4]imageio.Point {
	m := plane.Centre(q)
	for i := range q {
		q[i] = imageio.Point{X: m.X + by*(q[i].X-m.X), Y: m.Y + by*(q[i].Y-m.Y)}
	}
	return q
}
