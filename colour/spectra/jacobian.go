package spectra

// DaylightWeights holds how much each band adds to X, Y and Z of daylight D65.
var DaylightWeights = LightD65.weights

// BandJacobian returns the derivatives of L*, a* and b* of s by the reflectance at each band.
func BandJacobian(s *Spectrum) (j [3][Bands]float64) {
	_, byXYZ := s.XYZ(LightD65).LabJacobian()
	for i, w := range DaylightWeights {
		for c := range j {
			j[c][i] = byXYZ[c][0]*w[0] + byXYZ[c][1]*w[1] + byXYZ[c][2]*w[2]
		}
	}
	return j
}
