package losslessjpeg

import "encoding/binary"

// bitReader gives the bits of coded data, from which the zeros are taken that follow each byte of ones. At a marker or the end it goes
// on with zeros, and counts them.
type bitReader struct {
	data   []byte
	at     int
	held   uint64 // the next bits, the first of them highest
	count  uint   // how many of held are wanted ones
	padded uint   // how many bits of zeros have been put in
}

// fill makes at least 57 bits held.
func (b *bitReader) fill() {
	if b.at+8 <= len(b.data) {
		w := binary.BigEndian.Uint64(b.data[b.at:])
		if (^w-0x0101010101010101)&w&0x8080808080808080 == 0 { // no byte of ones
			b.held |= w >> b.count
			b.at += int((63 - b.count) >> 3)
			b.count |= 56
			return
		}
	}
	for b.count <= 56 {
		var next byte
		switch {
		case b.at >= len(b.data):
			b.padded += 8
		case b.data[b.at] != 0xff:
			next = b.data[b.at]
			b.at++
		case b.at+1 < len(b.data) && b.data[b.at+1] == 0:
			next = 0xff
			b.at += 2
		default:
			b.padded += 8
		}
		b.held |= uint64(next) << (56 - b.count)
		b.count += 8
	}
}

// overrun reports whether more bits were taken than there are.
func (b *bitReader) overrun() bool { return b.padded > b.count }

// restart goes on behind the restart marker of a number, 0 to 7, and reports whether it is there.
func (b *bitReader) restart(number int) bool {
	if b.overrun() {
		return false
	}
	// What is held and was not padded is the rest of the last byte: the marker is at hand.
	b.held, b.count, b.padded = 0, 0, 0
	for b.at+1 < len(b.data) && b.data[b.at] == 0xff && b.data[b.at+1] == 0xff {
		b.at++
	}
	if b.at+1 >= len(b.data) || b.data[b.at] != 0xff || b.data[b.at+1] != firstRestart+byte(number) {
		return false
	}
	b.at += 2
	return true
}
