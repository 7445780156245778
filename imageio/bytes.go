package imageio

import "encoding/binary"

// The big-endian numbers of file structures. What lies beyond the end of the data reads as
// zero, which every caller takes as "not there": a truncated file must not end the program.

func be16(data []byte, at int) uint16 { return uint16(be32(data, at-2)) }

func be32(data []byte, at int) uint32 {
	var word [4]byte
	for i := range word {
		if at+i >= 0 && at+i < len(data) {
			word[i] = data[at+i]
		}
	}
	return binary.BigEndian.Uint32(word[:])
}

// part returns length bytes from start on, or nil when data does not hold them all.
func part(data []byte, start, length int) []byte {
	if start < 0 || length < 0 || start > len(data) || length > len(data)-start {
		return nil
	}
	return data[start : start+length : start+length]
}
