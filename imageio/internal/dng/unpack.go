package dng

// unpack reads a row of samples that is not compressed. Those of 16 bits have the file's order of bytes; any others are packed
// highest bit first, whatever that order is.
//
// Source: TIFF 6.0, section 8, FillOrder; DNG 1.7, chapter 4, BitsPerSample, from memory.
func (r *Raw) unpack(data []byte, into []uint16) {
	switch r.bits {
	case 8:
		for i := range into {
			into[i] = uint16(data[i])
		}
	case 16:
		for i := range into {
			into[i] = r.order.Uint16(data[2*i:])
		}
	case 12:
		unpack12(data, into)
	default:
		held, count, at := uint32(0), 0, 0
		for i := range into {
			for count < r.bits {
				held, count = held<<8|uint32(data[at]), count+8
				at++
			}
			count -= r.bits
			into[i] = uint16(held >> count & (1<<r.bits - 1))
		}
	}
}

func unpack12(data []byte, into []uint16) {
	i := 0
	for ; i+1 < len(into); i += 2 {
		d := data[i/2*3:][:3]
		into[i] = uint16(d[0])<<4 | uint16(d[1])>>4
		into[i+1] = uint16(d[1])&15<<8 | uint16(d[2])
	}
	if i < len(into) {
		d := data[i/2*3:][:2]
		into[i] = uint16(d[0])<<4 | uint16(d[1])>>4
	}
}
