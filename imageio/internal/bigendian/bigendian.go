// Package bigendian reads the numbers of file structures. What lies beyond the end of the data reads as zero,
// which every caller takes as "not there": a truncated file must not end the program.
package bigendian

// Uint16 reads the two bytes from at on.
func Uint16(data []byte, at int) uint16 { return uint16(Uint(data, at, 2)) }

// Uint32 reads the four bytes from at on.
func Uint32(data []byte, at int) uint32 { return Uint(data, at, 4) }

// Uint reads size bytes from at on, at most four.
func Uint(data []byte, at, size int) (v uint32) {
	for i := at; i < at+size; i++ {
		v <<= 8
		if i >= 0 && i < len(data) {
			v |= uint32(data[i])
		}
	}
	return v
}

// Part returns length bytes from start on, or nil when data does not hold them all.
func Part(data []byte, start, length int) []byte {
	if start < 0 || length < 0 || start > len(data) || length > len(data)-start {
		return nil
	}
	return data[start : start+length : start+length]
}
