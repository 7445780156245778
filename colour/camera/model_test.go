package camera_test

import (
	"math/rand/v2"
	"testing"

	"huewright/colour/camera"
)

func TestSensitivityMatchesDifferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 50 {
		camera.RequireSlopes(t, rng)
	}
}

func TestFitMatchesDifferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 2))
	for range 5 {
		camera.RequireFitSlopes(t, rng, chartBy(warm))
	}
}
