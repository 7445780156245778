package render

import (
	"image"
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/icc"
)

// A lightGrid is how the light that falls on a canvas changes, in the middles of squares.
type lightGrid struct {
	box     image.Rectangle
	wide    int
	factors []float32 // of linear light, over that at the reference
}

const lightSquare = 16 // pixels

func newLightGrid(light imageio.Light, box image.Rectangle, scale float64) *lightGrid {
	g := &lightGrid{box: box, wide: box.Dx()/lightSquare + 2}
	high := box.Dy()/lightSquare + 2
	for y := range high {
		for x := range g.wide {
			at := imageio.Point{X: scale * float64(box.Min.X+lightSquare*x), Y: scale * float64(box.Min.Y+lightSquare*y)}
			g.factors = append(g.factors, float32(math.Exp(light.Log(at))))
		}
	}
	return g
}

// at is the factor at a pixel; x counts from the box's left side.
func (g *lightGrid) at(x, y int) float32 {
	y -= g.box.Min.Y
	i := y/lightSquare*g.wide + x/lightSquare
	fx, fy := float32(x%lightSquare)/lightSquare, float32(y%lightSquare)/lightSquare
	upper := g.factors[i] + fx*(g.factors[i+1]-g.factors[i])
	lower := g.factors[i+g.wide] + fx*(g.factors[i+g.wide+1]-g.factors[i+g.wide])
	return upper + fy*(lower-upper)
}

// out takes the light out of a code.
func (g *lightGrid) out(x, y int, r, gr, b uint8) (uint8, uint8, uint8) {
	return relit(1/g.at(x, y), r, gr, b)
}

// in puts the light back into a code.
func (g *lightGrid) in(x, y int, r, gr, b uint8) (uint8, uint8, uint8) {
	return relit(g.at(x, y), r, gr, b)
}

// relit is a code whose light is multiplied by factor.
func relit(factor float32, r, g, b uint8) (uint8, uint8, uint8) {
	t, codes := icc.SRGBTable8(), encodeTable()
	return codes.of(float64(factor * t[r])), codes.of(float64(factor * t[g])), codes.of(float64(factor * t[b]))
}
