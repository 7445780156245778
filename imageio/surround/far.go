package surround

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"

	"huewright/internal/parallel"
)

// Sensitivity is how well an eye sees a pattern of light and dark, over how well it sees the one it
// sees best: cycles is the pattern's spatial frequency in cycles per degree. The course below the
// best is left at 1, so that a broad difference is not lost: near that, edges and size decide.
//
// Source: Mannos, Sakrison (1974), IEEE Trans. Inf. Theory 20(4), 525–536, its constants from memory:
// A(f) = 2.6 (0.0192 + 0.114 f) exp(−(0.114 f)^1.1), with its peak of 0.98 near 8 cycles per degree.
func Sensitivity(cycles float64) float64 {
	if cycles <= bestCycles {
		return 1
	}
	return mannosSakrison(cycles) / mannosSakrison(bestCycles)
}

const bestCycles = 7.89 // where A is largest: its derivative vanishes there

func mannosSakrison(f float64) float64 {
	return 2.6 * (0.0192 + 0.114*f) * math.Exp(-math.Pow(0.114*f, 1.1))
}

// ColourSensitivity is the same for patterns of one hue against another, which an eye loses
// sooner.
//
// Source: Johnson, Fairchild (2003), Color Res. Appl. 28(6), 425–435, red against green, from
// memory: 109.1413 exp(−0.00038 f^3.4244) + 93.5971 exp(−0.00367 f^2.1677), over its value at 0.
func ColourSensitivity(cycles float64) float64 {
	f := math.Abs(cycles)
	return (109.1413*math.Exp(-0.00038*math.Pow(f, 3.4244)) + 93.5971*math.Exp(-0.00367*math.Pow(f, 2.1677))) / (109.1413 + 93.5971)
}

// From is how the same looks from each of some distances: what an eye cannot tell apart from there
// is evened out. Distances and pixel, which is that of a photo, are in millimetres.
func (s *Surroundings) From(ctx context.Context, distances []float64, pixel float64) ([]*Surroundings, error) {
	if len(distances) == 0 {
		return nil, nil
	}
	light := s.spectrum(func(i int) complex128 { return complex(float64(s.l[i]), 0) })
	hues := s.spectrum(func(i int) complex128 { return complex(float64(s.a[i]), float64(s.b[i])) })
	views := make([]*Surroundings, len(distances))
	if err := parallel.Ranges(ctx, len(views), 1, func(k, _ int) {
		degree := distances[k] * math.Tan(math.Pi/180) / (pixel * s.scale) // in pixels of the grid
		far := *s
		n := s.wide * s.high
		far.l, far.a, far.b = make([]float32, n), make([]float32, n), make([]float32, n)
		light.through(tabled(Sensitivity, degree), func(i int, v complex128) { far.l[i] = float32(real(v)) })
		hues.through(tabled(ColourSensitivity, degree), func(i int, v complex128) { far.a[i], far.b[i] = float32(real(v)), float32(imag(v)) })
		views[k] = &far
	}); err != nil {
		return nil, err
	}
	return views, nil
}

// tabled is a sensitivity over spatial frequency in cycles per pixel, 0–√½, from a table.
func tabled(of func(cycles float64) float64, degree float64) func(float64) float64 {
	const steps = 512
	var table [steps + 2]float64
	for i := range table {
		table[i] = of(degree * float64(i) / steps * math.Sqrt2 / 2)
	}
	return func(f float64) float64 {
		at := f * math.Sqrt2 * steps
		i := min(int(at), steps)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
}

// A spectrum2 is what the grid is made of in spatial frequencies. The grid lies in its middle, mirrored
// at its edges, so that nothing comes in from the far side.
type spectrum2 struct {
	s          *Surroundings
	wide, high int
	data       []complex128
}

// mirrored is how far beyond its edges the grid is mirrored, in pixels: an eye's blur is narrower.
const mirrored = 24

func (s *Surroundings) spectrum(value func(i int) complex128) *spectrum2 {
	t := &spectrum2{s: s, wide: quick(s.wide + 2*mirrored), high: quick(s.high + 2*mirrored)}
	t.data = make([]complex128, t.wide*t.high)
	for y := range t.high {
		row := fold(y-mirrored, s.high) * s.wide
		for x := range t.wide {
			t.data[y*t.wide+x] = value(row + fold(x-mirrored, s.wide))
		}
	}
	rows := fourier.NewCmplxFFT(t.wide)
	for y := range t.high {
		rows.Coefficients(t.data[y*t.wide:(y+1)*t.wide], t.data[y*t.wide:(y+1)*t.wide])
	}
	columns := fourier.NewCmplxFFT(t.high)
	t.alongColumns(t.data, func(c []complex128, _ int) { columns.Coefficients(c, c) })
	return t
}

// fold mirrors a place into 0 … n−1.
func fold(i, n int) int {
	i = ((i % (2 * n)) + 2*n) % (2 * n)
	return min(i, 2*n-1-i)
}

// quick is the least length from n on that transforms quickly: of factors 2, 3 and 5 alone.
func quick(n int) int {
	for ; ; n++ {
		rest := n
		for _, f := range [3]int{2, 3, 5} {
			for rest%f == 0 {
				rest /= f
			}
		}
		if rest == 1 {
			return n
		}
	}
}

func (t *spectrum2) alongColumns(data []complex128, do func(column []complex128, x int)) {
	column := make([]complex128, t.high)
	for x := range t.wide {
		for y := range t.high {
			column[y] = data[y*t.wide+x]
		}
		do(column, x)
		for y := range t.high {
			data[y*t.wide+x] = column[y]
		}
	}
}

// through lets each frequency through by a share and hands on what comes of each pixel.
func (t *spectrum2) through(share func(f float64) float64, take func(i int, v complex128)) {
	data := slices.Clone(t.data)
	rows, columns := fourier.NewCmplxFFT(t.wide), fourier.NewCmplxFFT(t.high)
	whole := float64(t.wide * t.high)
	t.alongColumns(data, func(c []complex128, x int) {
		fx := rows.Freq(x)
		for y := range c {
			fy := columns.Freq(y)
			c[y] *= complex(share(math.Sqrt(fx*fx+fy*fy))/whole, 0)
		}
		columns.Sequence(c, c)
	})
	for y := range t.s.high {
		row := data[(y+mirrored)*t.wide : (y+mirrored+1)*t.wide]
		rows.Sequence(row, row)
		for x := range t.s.wide {
			take(y*t.s.wide+x, row[x+mirrored])
		}
	}
}
