package dng

import (
	"math"
	"slices"

	"huewright/imageio/internal/tiffdir"
)

// levels say which codes stand for no light and for the most.
type levels struct {
	rows, columns int        // of the pattern that black repeats in
	black         []float64  // row by row, the planes of a place one after the other
	row, column   []float64  // what is added in each of the active area; nil for nothing
	white         [3]float64 // of each plane
	share         [3]float64 // 1 over white less the largest black
}

// readLevels reads black and white.
//
// Source: DNG 1.7, chapter 5 (mapping raw values to linear reference values), from memory.
func (r *Raw) readLevels(main, _ tiffdir.Directory) error {
	l := levels{rows: 1, columns: 1}
	if v := main.Numbers(tagBlackRepeat); len(v) == 2 {
		if v[0] < 1 || v[1] < 1 || v[0]*v[1] > 1024 || math.IsNaN(v[0]*v[1]) {
			return damaged("its pattern of black is wrong")
		}
		l.rows, l.columns = int(v[0]), int(v[1])
	}
	count := l.rows * l.columns * r.planes
	switch l.black = main.Numbers(tagBlackLevel); {
	case l.black == nil:
		l.black = make([]float64, count)
	case len(l.black) == 1: // one for all, as some programs write
		for len(l.black) < count {
			l.black = append(l.black, l.black[0])
		}
	case len(l.black) != count:
		return damaged("its black levels are not as many as it says")
	}
	l.column, l.row = main.Numbers(tagBlackDeltaH), main.Numbers(tagBlackDeltaV)
	if l.column != nil && len(l.column) != r.active.wide() || l.row != nil && len(l.row) != r.active.high() {
		return damaged("its black levels are not one for each row and column")
	}
	white := main.Numbers(tagWhiteLevel)
	for plane := range r.planes {
		l.white[plane] = float64(int(1)<<r.bits - 1)
		if len(white) > 0 {
			l.white[plane] = white[min(plane, len(white)-1)]
		}
		darkest := largest(l.column) + largest(l.row)
		base := math.Inf(-1)
		for i := plane; i < count; i += r.planes {
			base = max(base, l.black[i])
		}
		l.share[plane] = 1 / (l.white[plane] - base - darkest)
	}
	for _, v := range [][]float64{l.black, l.row, l.column, l.white[:r.planes], l.share[:r.planes]} {
		for _, x := range v {
			if !(math.Abs(x) <= 1<<20) {
				return damaged("its levels are no numbers")
			}
		}
	}
	for plane := range r.planes {
		if !(l.share[plane] > 0) {
			return damaged("its black is lighter than its white")
		}
	}
	r.levels = l
	return nil
}

// largest is the largest of values; 0 of none.
func largest(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	return slices.Max(v)
}

// line gives the black of each sample of a row of the active area, the planes of a place one after the other.
func (l *levels) line(y, wide, planes int, into []float32) {
	row := l.black[y%l.rows*l.columns*planes:][:l.columns*planes]
	added := 0.0
	if l.row != nil {
		added = l.row[y]
	}
	for x := range wide {
		here := added
		if l.column != nil {
			here += l.column[x]
		}
		at := x % l.columns * planes
		for p := range planes {
			into[x*planes+p] = float32(row[at+p] + here)
		}
	}
}
