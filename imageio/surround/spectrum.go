package surround

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A spectrum is the Fourier transform of the grid, which is mirrored at its edges so that nothing comes in from
// the far side.
type spectrum struct {
	s          *Surroundings
	wide, high int
	data       []complex128
}

// mirrored is how many pixels beyond its edges the grid is mirrored: an eye's blur is narrower.
const mirrored = 24

// transform returns the spectrum of a value of each pixel.
func (s *Surroundings) transform(value func(i int) complex128) *spectrum {
	t := &spectrum{s: s, wide: quick(s.wide + 2*mirrored), high: quick(s.high + 2*mirrored)}
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

// alongColumns applies a function to each column in place.
func (t *spectrum) alongColumns(data []complex128, do func(column []complex128, x int)) {
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

// through filters: it multiplies each frequency by a share, transforms back and hands on the value of each pixel.
func (t *spectrum) through(share func(f float64) float64, take func(i int, v complex128)) {
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
