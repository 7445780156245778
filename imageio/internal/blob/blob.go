package blob

import (
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Blob is a connected component of a downsampled picture that is even in colour and about as full as a
// parallelogram. Lengths are in pixels of that picture.
type Blob struct {
	At         imageio.Point // its centroid
	Area       float64
	XX, XY, YY float64    // covariance of its pixels' places
	Colour     [3]float64 // mean codes, 0–255
}

const (
	leastBlob = 6    // pixels; a patch of 4 × 4 keeps about this many inside its edges
	mostBlob  = 0.06 // share of the picture; the largest patch of a chart that fills it
	// Fullness is area over that of a parallelogram of the same covariance: less than 1 for anything with
	// holes, arms or a bend. An ellipse has 1.05.
	leastFull, mostFull = 0.80, 1.12
	// longest is how much longer than wide a patch may look, as standard deviations.
	longest = 3.2
	// bandedFrom is the side, in pixels, beyond which a picture is searched in bands: it is there for small
	// charts only.
	bandedFrom = 1024
)

// levels of roughness: at each the pixels below it are joined into connected components. Between two patches
// the roughness is well above, and within one well below, at one level at least.
var levels = [...]uint8{2, 4, 6, 9, 13, 18, 25, 36, 52}

// Blobs joins pixels in order of their roughness and keeps each region that has a patch's shape at some
// level. The error is the context's.
//
// Source of the joining: Matas, Chum, Urban, Pajdla (2004), Image Vis. Comput. 22(10), 761–767;
// Forssén (2007), Maximally stable colour regions, CVPR. The test of shape is ours.
func (t *Downsampled) Blobs(ctx context.Context) ([]Blob, error) {
	if max(t.Wide, t.High) <= bandedFrom {
		all, err := t.allBlobs(ctx)
		if err != nil {
			return nil, err
		}
		return distinct(all), nil
	}
	const bands, overlap = 4, 64
	var found [bands][]Blob
	if err := parallel.Each(ctx, bands, func(k int) error {
		from, to := max(0, k*t.High/bands-overlap), min(t.High, (k+1)*t.High/bands+overlap)
		all, err := t.rows(from, to).allBlobs(ctx)
		if err != nil {
			return err
		}
		for _, b := range all {
			reach := 2.5*math.Sqrt(b.YY) + 2
			cut := from > 0 && b.At.Y < reach || to < t.High && b.At.Y > float64(to-from)-reach
			if b.At.Y += float64(from); !cut { // the next band has it whole
				found[k] = append(found[k], b)
			}
		}
		return nil
	}); err != nil {
		return nil, err
	}
	return distinct(slices.Concat(found[:]...)), nil
}

func (t *Downsampled) allBlobs(ctx context.Context) ([]Blob, error) {
	rough, err := t.roughness(ctx)
	if err != nil {
		return nil, err
	}
	regions := newRegions(t)
	defer regions.release()
	var found []Blob
	for _, pixels := range byLevel(rough) {
		for _, k := range regions.grow(pixels) {
			if b, ok := regions.list[k].blob(float64(t.Wide * t.High)); ok {
				found = append(found, b)
			}
		}
	}
	return found, nil
}

// byLevel lists the pixels that come in at each level.
func byLevel(rough []uint8) [len(levels)][]int32 {
	var of [256]uint8 // roughness to level
	level := 0
	for v := range of {
		if level < len(levels) && v > int(levels[level]) {
			level++
		}
		of[v] = uint8(level)
	}
	var count [len(levels) + 1]int
	for _, v := range rough {
		count[of[v]]++
	}
	var lists [len(levels)][]int32
	for k := range lists {
		lists[k] = make([]int32, 0, count[k])
	}
	for i, v := range rough {
		if k := of[v]; int(k) < len(lists) {
			lists[k] = append(lists[k], int32(i))
		}
	}
	return lists
}

// blob returns the region as a blob if it has a patch's shape in a picture of so many pixels.
func (p *region) blob(all float64) (Blob, bool) {
	if p.n < leastBlob || p.n > mostBlob*all {
		return Blob{}, false
	}
	x, y := p.x/p.n, p.y/p.n
	const pixel = 1.0 / 12 // variance within a pixel
	b := Blob{
		At:   imageio.Point{X: float64(p.x0) + x + 0.5, Y: float64(p.y0) + y + 0.5},
		Area: p.n, XX: p.xx/p.n - x*x + pixel, XY: p.xy/p.n - x*y, YY: p.yy/p.n - y*y + pixel,
	}
	det := b.XX*b.YY - b.XY*b.XY
	full := b.Area / (12 * math.Sqrt(det))
	mid, half := (b.XX+b.YY)/2, math.Hypot((b.XX-b.YY)/2, b.XY)
	if full < leastFull || full > mostFull || mid+half > longest*longest*(mid-half) {
		return Blob{}, false
	}
	for k := range b.Colour {
		b.Colour[k] = p.colour[k] / p.n
	}
	return b, true
}

// distinct keeps, of the blobs that are one thing at several levels, the largest.
func distinct(all []Blob) []Blob {
	const cell = 16.0
	type square struct{ x, y int }
	at := func(p imageio.Point) square { return square{int(p.X / cell), int(p.Y / cell)} }
	kept := map[square][]int{}
	var out []Blob
next:
	for i := len(all) - 1; i >= 0; i-- { // the later a level, the larger its parts
		b := &all[i]
		reach := 0.25 * math.Sqrt(b.Area)
		from, to := at(imageio.Point{X: b.At.X - reach, Y: b.At.Y - reach}), at(imageio.Point{X: b.At.X + reach, Y: b.At.Y + reach})
		for y := from.y; y <= to.y; y++ {
			for x := from.x; x <= to.x; x++ {
				for _, k := range kept[square{x, y}] {
					o := &out[k]
					if math.Hypot(o.At.X-b.At.X, o.At.Y-b.At.Y) < reach && b.Area > 0.3*o.Area {
						continue next
					}
				}
			}
		}
		here := at(b.At)
		kept[here] = append(kept[here], len(out))
		out = append(out, *b)
	}
	return out
}
