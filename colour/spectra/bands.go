package spectra

// Bands is how many wavelengths a Spectrum has, FirstBand and BandStep (nm) which they are:
// 380, 390 … 730 nm.
const (
	Bands     = 36
	FirstBand = 380
	BandStep  = 10
)
