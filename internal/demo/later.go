package demo

import (
	"context"

	"huewright/internal/bench"
	"huewright/internal/piece"
)

// Later draws the cabinet with coats on it, counted by area and coating of its piece; always the same. The error is the context's.
func Later(ctx context.Context, p *piece.Piece, coats map[string]map[string]int) ([]byte, error) {
	glaze, wash := map[string]float64{}, map[string]float64{}
	for area, on := range coats {
		for name, n := range on {
			if k := p.CoatingNamed(name); k != nil && k.Kind == "glaze" {
				glaze[area] += float64(n)
			} else {
				wash[area] += float64(n)
			}
		}
	}
	return bench.DemoLater(ctx, glaze, wash)
}
