package container

// The tags we look at. Sources: TIFF 6.0; TIFF/EP (ISO 12234-2); DNG 1.7; ICC.1:2022, B.3.
const (
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagRowsPerStrip = 278
	tagTileWidth    = 322
	tagTileLength   = 323
	tagSampleFormat = 339
	tagICCProfile   = 34675
	tagDNGVersion   = 0xC612
	photometricCFA  = 32803 // samples of single colours, straight from the sensor
	photometricRaw  = 34892 // the same, already interpolated
)
