package container

// Format is what the first bytes of a file say it is.
type Format string

const (
	formatJPEG Format = "JPEG"
	formatPNG  Format = "PNG"
	formatTIFF Format = "TIFF"
	formatWebP Format = "WebP"
	formatHEIC Format = "HEIC"
	formatAVIF Format = "AVIF"
	formatDNG  Format = "DNG"
)

// pixelsInByte is more pixels than a byte of a file can hold, whatever they show, so that a
// short file that claims to be large is told before memory is taken for it. A JPEG spends a bit
// on each block of 8 × 8; deflate packs 1032 bytes in one, and LZW up to 3838 in 12 bits, of 8
// pixels each. The other formats spend nothing on one colour: their size is bounded alone.
func (f Format) pixelsInByte() int64 {
	switch f {
	case formatJPEG:
		return 8 * 64
	case formatPNG:
		return 8 * 1032
	case formatDNG:
		return 8 // a bit for each sample, at least
	case formatTIFF:
		return 8 * 3838
	}
	return 1 << 40
}
