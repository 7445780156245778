package blob

import (
	"slices"
	"sync"
)

// regions is a union–find over the pixels of a picture: each set is a connected component of the pixels that
// came in so far.
type regions struct {
	t      *Downsampled
	parent []int32 // of a root: its region, as −2 − region; −1 for pixels that have not come in
	list   []region
	spare  []int32 // regions that were merged into others
	level  uint8
}

// A region is sums over connected pixels. Places count from its first pixel, so that squares stay small.
type region struct {
	x0, y0              int32
	seen                uint8 // the level at which it was last listed
	n, x, y, xx, xy, yy float64
	colour              [3]float64
}

// released are regions no longer used: their memory, tens of megabytes, is used again.
var released = sync.Pool{New: func() any { return new(regions) }}

func newRegions(t *Downsampled) *regions {
	r := released.Get().(*regions)
	n := t.Wide * t.High
	r.t, r.level = t, 0
	r.parent = slices.Grow(r.parent[:0], n)[:n]
	r.list, r.spare = r.list[:0], r.spare[:0]
	for i := range r.parent {
		r.parent[i] = -1
	}
	return r
}

// release gives the memory back. The regions must not be used any more.
func (r *regions) release() {
	r.t = nil
	released.Put(r)
}

// grow lets the pixels of the next level in and returns the regions that changed.
func (r *regions) grow(pixels []int32) []int32 {
	r.level++
	wide := int32(r.t.Wide)
	for _, i := range pixels {
		x := i % wide
		root := r.enter(i, x)
		if x < wide-1 {
			root = r.join(root, i+1)
		}
		if i >= wide {
			root = r.join(root, i-wide)
		}
		if int(i+wide) < len(r.parent) {
			r.join(root, i+wide)
		}
	}
	var touched []int32
	for _, i := range pixels {
		k := r.region(r.root(i))
		if p := &r.list[k]; p.seen != r.level {
			p.seen = r.level
			touched = append(touched, k)
		}
	}
	return touched
}

func (r *regions) region(root int32) int32 { return -2 - r.parent[root] }

// enter makes a pixel a region of its own, or adds it to that of the pixel before it in its row, and returns
// its root.
func (r *regions) enter(i, x int32) int32 {
	c := r.t.Codes[3*i : 3*i+3]
	if x > 0 && r.parent[i-1] != -1 {
		root := r.root(i - 1)
		r.parent[i] = root
		r.list[r.region(root)].add(x, i/int32(r.t.Wide), c)
		return root
	}
	p := region{x0: x, y0: i / int32(r.t.Wide)}
	p.add(p.x0, p.y0, c)
	if last := len(r.spare) - 1; last >= 0 {
		k := r.spare[last]
		r.spare, r.list[k], r.parent[i] = r.spare[:last], p, -2-k
		return i
	}
	r.parent[i] = -2 - int32(len(r.list))
	r.list = append(r.list, p)
	return i
}

func (r *regions) root(i int32) int32 {
	for {
		up := r.parent[i]
		if up < 0 {
			return i
		}
		if next := r.parent[up]; next >= 0 {
			r.parent[i] = next
		}
		i = up
	}
}

// join merges the region of a root with that of a pixel, if that has come in, and returns the root of both.
func (r *regions) join(a, i int32) int32 {
	if r.parent[i] == -1 {
		return a
	}
	b := r.root(i)
	if a == b {
		return a
	}
	into, from := r.region(a), r.region(b)
	if r.list[into].n < r.list[from].n {
		a, b, into, from = b, a, from, into
	}
	r.list[into].merge(&r.list[from])
	r.spare = append(r.spare, from)
	r.parent[b] = a
	return a
}

func (p *region) add(x, y int32, c []uint8) {
	dx, dy := float64(x-p.x0), float64(y-p.y0)
	p.n++
	p.x, p.y = p.x+dx, p.y+dy
	p.xx, p.xy, p.yy = p.xx+dx*dx, p.xy+dx*dy, p.yy+dy*dy
	for k := range p.colour {
		p.colour[k] += float64(c[k])
	}
}

func (p *region) merge(q *region) {
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
