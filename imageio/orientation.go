package imageio

// orientation says how the upright picture lies in the stored one, as numbered by the EXIF
// tag of that name. The zero value is 1: stored upright.
//
// Source: CIPA DC-008 (EXIF) 2.32, 4.6.4, tag 274; TIFF 6.0, section 8.
type orientation struct {
	number        int
	width, height int // of the stored picture
}

// swapped reports whether upright width and height are the stored ones exchanged.
func (o orientation) swapped() bool { return o.number >= 5 && o.number <= 8 }

// stored maps an upright pixel to the place where the file has it.
func (o orientation) stored(x, y int) (int, int) {
	right, bottom := o.width-1, o.height-1
	switch o.number {
	case 2:
		return right - x, y
	case 3:
		return right - x, bottom - y
	case 4:
		return x, bottom - y
	case 5:
		return y, x
	case 6:
		return y, bottom - x
	case 7:
		return right - y, bottom - x
	case 8:
		return right - y, x
	}
	return x, y
}
