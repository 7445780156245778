package blendtest

import "huewright/blend"

var (
	BrownDye = Invented("brown dye", "dye", func(nm float64) blend.Film { return blend.Film{K: Sigmoid(0.45, 0.13, (nm-560)/50)} })
)
