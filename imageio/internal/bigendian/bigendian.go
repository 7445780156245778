// Package bigendian reads the numbers of file structures. What lies beyond the end of the data reads as zero,
// which every caller takes as "not there": a truncated file must not end the program.
package bigendian

import "encoding/binary"

// Uint16 reads the two bytes from at on.
func Uint16(data []byte, at int) uint16 { return uint16(Uint32(data, at-2)) }

// Uint32 reads the four bytes from at on.
func Uint32(data []byte, at int) uint32 {
	var word [4]byte
	for i := range word {
		if at+i >= 0 && at+i < len(data) {
			word[i] = data[at+i]
		}
	}
	return binary.BigEndian.Uint32(word[:])
}

// Part returns length bytes from start on, or nil when data does not hold them all.
func Part(data []byte, start, length int) []byte {
	if start < 0 || length < 0 || start > len(data) || length > len(data)-start {
		return nil
	}
	return data[start : start+length : start+length]
}
