package camera

import "huewright/colour"

// Misfits fits the model to the samples that may be used, as FitError does, and returns for
// every sample, also those to be skipped, how far in ΔE00 it lies from what the fit predicts.
func Misfits(samples []Sample) []float64 {
	var used []Sample
	for _, s := range samples {
		if s.Skip == "" {
			used = append(used, s)
		}
	}
	p := (*cameraParams)(newCameraProblem(used).solve(&sRGBAtItsWord).X)
	misfits := make([]float64, len(samples))
	for i, s := range samples {
		misfits[i] = colour.DeltaE2000(s.Want, p.xyz(s.Camera, s.At).Lab())
	}
	return misfits
}
