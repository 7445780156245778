package container

import "bytes"

const (
	PhotometricLab = 8
)

const (
	photometricICCLab = 9
)

// LabAsRGB changes the photometric kind of the first page, so that a decoder that knows only
// R, G and B hands over the numbers as they are.
func LabAsRGB(data []byte) []byte {
	data = bytes.Clone(data)
	dirs, _ := tiffDirs(data)
	if len(dirs) == 0 || len(dirs[0][tagPhotometric].data) != 2 {
		return data
	}
	const rgb = 2
	kind := dirs[0][tagPhotometric].data
	if data[0] == 'I' {
		kind[0], kind[1] = rgb, 0
	} else {
		kind[0], kind[1] = 0, rgb
	}
	return data
}
