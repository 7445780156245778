package bench

import "math"

// noise is a smooth random field without state: the same seed and place give the same value
// in any order of asking, so that rows of a picture can be drawn side by side.
type noise uint64

// hash mixes the seed with a lattice point (splitmix64's finaliser).
func (n noise) hash(i, j int) uint64 {
	h := uint64(n) + uint64(i)*0x9e3779b97f4a7c15 + uint64(j)*0xc2b2ae3d27d4eb4f
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}

// cell returns a random number in [0, 1) that belongs to the lattice point.
func (n noise) cell(i, j int) float64 { return float64(n.hash(i, j)>>11) / (1 << 53) }

// line is smooth noise along one axis, about −1…1, with features one unit long.
func (n noise) line(x float64) float64 {
	i, f := split(x)
	return lerp(fade(f), 2*n.cell(i, 0)-1, 2*n.cell(i+1, 0)-1)
}

// plane is smooth noise over two axes, about −1…1, with features one unit long: slopes drawn
// at the lattice points and blended between, which leaves no blocks to be seen.
func (n noise) plane(x, y float64) float64 {
	i, u := split(x)
	j, v := split(y)
	fu, fv := fade(u), fade(v)
	top := lerp(fu, n.slope(i, j, u, v), n.slope(i+1, j, u-1, v))
	bottom := lerp(fu, n.slope(i, j+1, u, v-1), n.slope(i+1, j+1, u-1, v-1))
	return 1.5 * lerp(fv, top, bottom)
}

func (n noise) slope(i, j int, u, v float64) float64 {
	h := n.hash(i, j)
	a := float64(int32(h)) / (1 << 31)
	b := float64(int32(h>>32)) / (1 << 31)
	return a*u + b*v
}

// octaves adds finer and fainter planes to a first: rough where plane is smooth.
func (n noise) octaves(x, y float64, count int) float64 {
	sum, size := 0.0, 1.0
	for k := range count {
		sum += size * (n+noise(k)*7919).plane(x, y)
		x, y, size = 2.03*x, 2.03*y, size/2
	}
	return sum
}

func split(x float64) (int, float64) {
	f := math.Floor(x)
	return int(f), x - f
}

func fade(t float64) float64 { return t * t * t * (t*(6*t-15) + 10) }

func lerp(t, a, b float64) float64 { return a + t*(b-a) }

// ramp rises smoothly from 0 at a to 1 at b; a may be the greater.
func ramp(a, b, x float64) float64 {
	t := clamp01((x - a) / (b - a))
	return t * t * (3 - 2*t)
}

func clamp01(t float64) float64 { return min(max(t, 0), 1) }
