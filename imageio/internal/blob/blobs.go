package blob

import (
	"context"
	"math"
	"slices"
	"sync"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Blob is a connected part of a thumb that is even in colour and about as full as a
// parallelogram.
type Blob struct {
	At         imageio.Point // its centroid, in pixels of the thumb
	Area       float64
	XX, XY, YY float64 // covariance of its pixels
	Colour     [3]float64
}

const (
	leastBlob = 6    // pixels; a patch of 4 × 4 keeps about this many inside its edges
	mostBlob  = 0.06 // share of the thumb; the largest patch of a chart that fills it
	// fullness is area over what a parallelogram of the same covariance would have: 1 for
	// one, less for anything with holes, arms or a bend. An ellipse has 1.05.
	leastFull, mostFull = 0.80, 1.12
	// longest is how much longer than wide a patch may look, as standard deviations.
	longest = 3.2
)

// levels of roughness at which the pixels below are looked at as connected parts. Between two
// patches the step is well above, and within one well below, at one of them at least.
var levels = [...]uint8{2, 4, 6, 9, 13, 18, 25, 36, 52}

// Blobs finds the parts: pixels join in order of their roughness, as in a flood that rises
// step by step, and whatever has a patch's shape at some level is kept.
//
// Source of the flood: Matas, Chum, Urban, Pajdla (2004), Image Vis. Comput. 22(10), 761–767;
// Forssén (2007), Maximally stable colour regions, CVPR. The test of shape is ours.
func (t *Downsampled) Blobs(ctx context.Context) ([]Blob, error) {
	if max(t.Wide, t.High) <= TiledSide {
		all, err := t.allBlobs(ctx)
		if err != nil {
			return nil, err
		}
		return distinct(all), nil
	}
	// A finer thumb is there for small charts, so it can be searched in bands at once.
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
	flood := newFlood(t)
	defer flood.drain()
	var found []Blob
	for _, pixels := range byLevel(rough) {
		for _, k := range flood.rise(pixels) {
			if b, ok := flood.pools[k].blob(float64(t.Wide * t.High)); ok {
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

// A flood is a union–find over the pixels of a thumb.
type flood struct {
	t      *Downsampled
	parent []int32 // of a root: its pool, as −2 − pool; −1 for dry pixels
	pools  []pool
	spare  []int32 // pools that were merged into others
	level  uint8
}

// A pool is sums over connected pixels. Places count from its first pixel, so that squares
// stay small.
type pool struct {
	x0, y0              int32
	seen                uint8 // the level at which it was last listed
	n, x, y, xx, xy, yy float64
	colour              [3]float64
}

// basins are floods that have been drained: their memory, tens of megabytes, is used again.
var basins = sync.Pool{New: func() any { return new(flood) }}

func newFlood(t *Downsampled) *flood {
	f := basins.Get().(*flood)
	n := t.Wide * t.High
	f.t, f.level = t, 0
	f.parent = slices.Grow(f.parent[:0], n)[:n]
	f.pools, f.spare = f.pools[:0], f.spare[:0]
	for i := range f.parent {
		f.parent[i] = -1
	}
	return f
}

// drain gives the flood's memory back. It must not be used any more.
func (f *flood) drain() {
	f.t = nil
	basins.Put(f)
}

// rise lets pixels in and returns the pools that changed.
func (f *flood) rise(pixels []int32) []int32 {
	f.level++
	wide := int32(f.t.Wide)
	for _, i := range pixels {
		x := i % wide
		root := f.enter(i, x)
		if x > 0 {
			root = f.join(root, i-1)
		}
		if x < wide-1 {
			root = f.join(root, i+1)
		}
		if i >= wide {
			root = f.join(root, i-wide)
		}
		if int(i+wide) < len(f.parent) {
			f.join(root, i+wide)
		}
	}
	var touched []int32
	for _, i := range pixels {
		k := f.pool(f.root(i))
		if p := &f.pools[k]; p.seen != f.level {
			p.seen = f.level
			touched = append(touched, k)
		}
	}
	return touched
}

func (f *flood) pool(root int32) int32 { return -2 - f.parent[root] }

// enter makes a pixel a pool of its own, or of the one before it in its row, and returns its
// root.
func (f *flood) enter(i, x int32) int32 {
	c := f.t.Codes[3*i : 3*i+3]
	if x > 0 && f.parent[i-1] != -1 {
		root := f.root(i - 1)
		f.parent[i] = root
		f.pools[f.pool(root)].add(x, i/int32(f.t.Wide), c)
		return root
	}
	p := pool{x0: x, y0: i / int32(f.t.Wide)}
	p.add(p.x0, p.y0, c)
	if last := len(f.spare) - 1; last >= 0 {
		k := f.spare[last]
		f.spare, f.pools[k], f.parent[i] = f.spare[:last], p, -2-k
		return i
	}
	f.parent[i] = -2 - int32(len(f.pools))
	f.pools = append(f.pools, p)
	return i
}

func (f *flood) root(i int32) int32 {
	for {
		up := f.parent[i]
		if up < 0 {
			return i
		}
		if next := f.parent[up]; next >= 0 {
			f.parent[i] = next
		}
		i = up
	}
}

// join merges the pool of a root with that of a pixel, unless that is dry, and returns the
// root of both.
func (f *flood) join(a, i int32) int32 {
	if f.parent[i] == -1 {
		return a
	}
	b := f.root(i)
	if a == b {
		return a
	}
	into, from := f.pool(a), f.pool(b)
	if f.pools[into].n < f.pools[from].n {
		a, b, into, from = b, a, from, into
	}
	f.pools[into].merge(&f.pools[from])
	f.spare = append(f.spare, from)
	f.parent[b] = a
	return a
}

func (p *pool) add(x, y int32, c []uint8) {
	dx, dy := float64(x-p.x0), float64(y-p.y0)
	p.n++
	p.x, p.y = p.x+dx, p.y+dy
	p.xx, p.xy, p.yy = p.xx+dx*dx, p.xy+dx*dy, p.yy+dy*dy
	for k := range p.colour {
		p.colour[k] += float64(c[k])
	}
}

func (p *pool) merge(q *pool) {
	dx, dy := float64(q.x0-p.x0), float64(q.y0-p.y0)
	p.xx += q.xx + 2*dx*q.x + dx*dx*q.n
	p.yy += q.yy + 2*dy*q.y + dy*dy*q.n
	p.xy += q.xy + dx*q.y + dy*q.x + dx*dy*q.n
	p.x += q.x + dx*q.n
	p.y += q.y + dy*q.n
	p.n += q.n
	for k := range p.colour {
		p.colour[k] += q.colour[k]
	}
}

// blob returns the pool as a blob if it has a patch's shape.
func (p *pool) blob(all float64) (Blob, bool) {
	if p.n < leastBlob || p.n > mostBlob*all {
		return Blob{}, false
	}
	x, y := p.x/p.n, p.y/p.n
	const pixel = 1.0 / 12 // variance within one
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
