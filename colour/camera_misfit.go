package colour

import "context"

// Misfits fits the model to the samples that may be used, as FitError does, and returns for
// every sample, also those to be skipped, how far in ΔE00 it lies from what the fit predicts.
func Misfits(samples []Sample) []float64 {
	var used []Sample
	for _, s := range samples {
		if s.Skip == "" {
			used = append(used, s)
		}
	}
	params, _ := minimise(context.Background(), newCameraProblem(used), sRGBAtItsWord[:], fitSteps)
	p := (*cameraParams)(params)
	misfits := make([]float64, len(samples))
	for i, s := range samples {
		misfits[i] = DeltaE2000(s.Want, p.xyz(s.Camera, s.At).Lab())
	}
	return misfits
}
