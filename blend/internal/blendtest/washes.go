package blendtest

import (
	"math"

	"huewright/blend"
)

var (
	PaleWash = Invented("pale wash", "wash", func(nm float64) blend.Film { return blend.Film{K: 0.004 + 0.02/(1+math.Exp((nm-460)/20)), S: 0.25} })
)

var (
	MudGlaze = Invented("mud glaze", "glaze", func(nm float64) blend.Film { return blend.Film{K: 0.35 - 0.2*(nm-380)/350, S: 0.15} })
)
