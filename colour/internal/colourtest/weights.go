package colourtest

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// This file works out tables of weights by the method of ASTM E2022 from the 1 nm observer
// and a light, so that the tables in light_tables.go can be held against their sources. The
// method itself is held against the tables that come with the Python library colour-science.

// A Curve is a function of wavelength, or three of them, given every step nm from start.
type Curve struct {
	Start, step int
	Rows        [][]float64
}

func (c Curve) End() int { return c.Start + c.step*(len(c.Rows)-1) }

// At interpolates column linearly; it is 0 outside the data.
func (c Curve) At(nm, column int) float64 {
	if nm < c.Start || nm > c.End() {
		return 0
	}
	i, off := (nm-c.Start)/c.step, (nm-c.Start)%c.step
	if off == 0 {
		return c.Rows[i][column]
	}
	f := float64(off) / float64(c.step)
	return (1-f)*c.Rows[i][column] + f*c.Rows[i+1][column]
}

// ReadShared reads a table of numbers below ../shared/data, or skips the test when the
// data are not there. Comment lines start with '#'.
func ReadShared(t testing.TB, path string) [][]string {
	t.Helper()
	f, err := os.Open(fixture.Shared(path))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("shared data %s are not here", path)
	}
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	require.NoError(t, err)
	return records
}

// ReadCurve reads the named columns of a file whose first column is the wavelength.
// No names means every column. Cells that are empty leave the row out.
func ReadCurve(t testing.TB, path string, names ...string) Curve {
	t.Helper()
	records := ReadShared(t, path)
	if len(names) == 0 {
		names = records[0][1:]
	}
	column := map[string]int{}
	for i, name := range records[0] {
		column[name] = i
	}
	var c Curve
	var nms []int
	for _, record := range records[1:] {
		var row []float64
		for _, name := range names {
			require.Contains(t, column, name)
			if v := record[column[name]]; v != "" {
				row = append(row, Number(t, v))
			}
		}
		if len(row) == len(names) {
			nms, c.Rows = append(nms, int(Number(t, record[0]))), append(c.Rows, row)
		}
	}
	c.Start, c.step = nms[0], nms[1]-nms[0]
	require.Equal(t, nms[len(nms)-1], c.End(), "wavelengths are not evenly spaced")
	return c
}

func Number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	require.NoError(t, err)
	return v
}

func ReadNumbers(t testing.TB, path string) [][]float64 {
	t.Helper()
	var rows [][]float64
	for _, record := range ReadShared(t, path) {
		var row []float64
		for _, s := range record {
			row = append(row, Number(t, s))
		}
		rows = append(rows, row)
	}
	return rows
}

func Observer2(t testing.TB) Curve {
	return ReadCurve(t, "spectra/colour_science/cie1931_2deg_xyz.csv")
}

// IlluminantA is the defining formula of CIE 15:2018 at 1 nm, relative to 560 nm.
func IlluminantA(from, to int) Curve {
	c := Curve{Start: from, step: 1}
	planck := func(nm float64) float64 { return math.Pow(nm, -5) / math.Expm1(1.435e7/(2848*nm)) }
	for nm := from; nm <= to; nm++ {
		c.Rows = append(c.Rows, []float64{100 * planck(float64(nm)) / planck(560)})
	}
	return c
}

func Illuminant(t testing.TB, name string) Curve {
	return ReadCurve(t, "spectra/colour_science/illuminants_cie.csv", name)
}

// lagrange returns the coefficients that carry a value at each nm inside an interval of step
// nm onto the len(nodes) measured values at nodes, in steps from the interval's start.
func lagrange(step int, nodes ...float64) [][]float64 {
	var rows [][]float64
	for i := 1; i < step; i++ {
		x := float64(i) / float64(step)
		var row []float64
		for j, xj := range nodes {
			l := 1.0
			for k, xk := range nodes {
				if k != j {
					l *= (x - xk) / (xj - xk)
				}
			}
			row = append(row, l)
		}
		rows = append(rows, row)
	}
	return rows
}

// Weights works out the table of ASTM E2022 for reflectances measured every step nm from the
// observer's first wavelength to the last below or at its end: each 1 nm product of light and
// observer is carried onto the measured bands beside it, by cubic Lagrange interpolation
// inside and by quadratic in the first and last interval; what is left beyond the last band
// goes to that band. The middle column sums to 100.
func Weights(light, observer Curve, step int) [][]float64 {
	n := (observer.End()-observer.Start)/step + 1
	w := make([][]float64, n)
	for i := range w {
		w[i] = make([]float64, 3)
	}
	inner, first, last := lagrange(step, -1, 0, 1, 2), lagrange(step, 0, 1, 2), lagrange(step, -1, 0, 1)
	sum := 0.0
	for i, row := range observer.Rows {
		s := light.At(observer.Start+i, 0)
		band, off := i/step, i%step
		for k, v := range row {
			switch {
			case off == 0 || band == n-1:
				w[band][k] += s * v
			case band == 0:
				for j, c := range first[off-1] {
					w[j][k] += c * s * v
				}
			case band == n-2:
				for j, c := range last[off-1] {
					w[band-1+j][k] += c * s * v
				}
			default:
				for j, c := range inner[off-1] {
					w[band-1+j][k] += c * s * v
				}
			}
		}
		sum += s * row[1]
	}
	for i := range w {
		for k := range w[i] {
			w[i][k] *= 100 / sum
		}
	}
	return w
}

// Truncate adds the weights outside rows first…last to the row at that end, as ASTM E308
// prescribes for a reflectance that was not measured as far.
func Truncate(w [][]float64, first, last int) [][]float64 {
	out := make([][]float64, last-first+1)
	for i := range out {
		out[i] = make([]float64, 3)
	}
	for i, row := range w {
		j := min(max(i, first), last) - first
		for k, v := range row {
			out[j][k] += v
		}
	}
	return out
}

func Cut(c Curve, to int) Curve {
	c.Rows = c.Rows[:(to-c.Start)/c.step+1]
	return c
}
