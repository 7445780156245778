package chart

import (
	"context"
	"math"

	"huewright/imageio/internal/blob"
	"huewright/internal/parallel"
)

// tiles say where on a finer picture a small chart may be: the coarser one has shown which colours are where, and
// a chart has yellow and blue patches, and white and black ones, close together. Most of a photo of wood has not,
// and is not searched again.
type tiles struct {
	wide, high int
	possible   []bool
}

const (
	tileSide  = 32 // pixels of the coarser picture
	tileReach = 3  // tiles on each side that are looked at together: more than a small chart covers
	// leastHues is the least range of ln(red/blue) over a chart's patches, and leastLights that of
	// ln(green). The charts in real photos have 2.5 and 3.4 at least: see TestTilesKeepCharts.
	leastHues, leastLights = 1.0, 1.0
	// darkCode is the code below which noise makes any hue.
	darkCode = 24
)

// A hueRange is the range of colours in a part of a picture, in codes of a byte.
type hueRange struct{ leastHue, mostHue, leastLight, mostLight uint8 }

// rangeCode is 32 times the natural logarithm of a code, from 0 up.
var rangeCode = func() (c [256]uint8) {
	for i := range c {
		c[i] = uint8(32 * math.Log(max(float64(i), 2)))
	}
	return c
}()

// tilesOf divides a picture into tiles. Somewhere there may be a chart unless even the whole picture has too few
// colours for one.
func tilesOf(ctx context.Context, t *blob.Downsampled) (s *tiles, somewhere bool, err error) {
	s = &tiles{wide: (t.Wide + tileSide - 1) / tileSide, high: (t.High + tileSide - 1) / tileSide}
	each := make([]hueRange, s.wide*s.high)
	if err := parallel.Ranges(ctx, s.high, 1, func(row, _ int) {
		for column := range s.wide {
			each[row*s.wide+column] = hues(t, column*tileSide, row*tileSide)
		}
	}); err != nil {
		return s, somewhere, err
	}
	whole := noRange
	for i := range each {
		whole.join(&each[i])
	}
	s.possible = make([]bool, len(each))
	for row := range s.high {
		for column := range s.wide {
			all := noRange
			for y := max(0, row-tileReach); y <= min(s.high-1, row+tileReach); y++ {
				for x := max(0, column-tileReach); x <= min(s.wide-1, column+tileReach); x++ {
					all.join(&each[y*s.wide+x])
				}
			}
			s.possible[row*s.wide+column] = all.enough()
		}
	}
	return s, whole.enough(), nil
}

var noRange = hueRange{255, 0, 255, 0}

func (r *hueRange) join(o *hueRange) {
	r.leastHue, r.mostHue = min(r.leastHue, o.leastHue), max(r.mostHue, o.mostHue)
	r.leastLight, r.mostLight = min(r.leastLight, o.leastLight), max(r.mostLight, o.mostLight)
}

// enough reports whether the colours may be those of a chart.
func (r *hueRange) enough() bool { return r.hues() >= leastHues && r.lights() >= leastLights }

// hues and lights are ranges of ln(red/blue) and of ln(green), of light: codes are its roots.
func (r *hueRange) hues() float64   { return 2 * (float64(r.mostHue) - float64(r.leastHue)) / 16 }
func (r *hueRange) lights() float64 { return 2 * (float64(r.mostLight) - float64(r.leastLight)) / 32 }

// include widens the range by the pixel whose codes c begins with.
func (r *hueRange) include(c []uint8) {
	light := rangeCode[c[1]]
	r.leastLight, r.mostLight = min(r.leastLight, light), max(r.mostLight, light)
	if max(c[0], c[2]) < darkCode {
		return
	}
	hue := 128 + rangeCode[c[0]]/2 - rangeCode[c[2]]/2
	r.leastHue, r.mostHue = min(r.leastHue, hue), max(r.mostHue, hue)
}

// rulesOut tells of each pixel of a picture times as fine whether no small chart can be there. Of no tiles it is
// nil: nothing is ruled out.
func (s *tiles) rulesOut(times float64) func(x, y int) bool {
	if s == nil {
		return nil
	}
	return func(x, y int) bool {
		column, row := int(float64(x)/times)/tileSide, int(float64(y)/times)/tileSide
		return !s.possible[min(row, s.high-1)*s.wide+min(column, s.wide-1)]
	}
}

// hues is the range of colours in the tile that begins at x0, y0.
func hues(t *blob.Downsampled, x0, y0 int) hueRange {
	r := noRange
	for y := y0; y < min(y0+tileSide, t.High); y++ {
		row := t.Codes[3*(y*t.Wide+x0) : 3*(y*t.Wide+min(x0+tileSide, t.Wide))]
		for ; len(row) >= 3; row = row[3:] {
			r.include(row)
		}
	}
	return r
}
