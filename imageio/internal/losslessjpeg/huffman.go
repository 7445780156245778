package losslessjpeg

import "errors"

// quickBits is how long a code may be to be looked up in one step.
const quickBits = 12

// mostCategory is the largest number of further bits a difference may have.
const mostCategory = 16

// huffman is a table of codes, each for a category: how many further bits tell the difference.
//
// Source: ITU-T T.81, annex C and F.2.2.3; H.1.2.2 for category 16.
type huffman struct {
	quick [1 << quickBits]uint16 // length of the code << 8 | category; 0 for longer codes
	// For longer ones: the largest code of each length plus one, left-aligned in 16 bits, and what to add to a code for its symbol.
	limit   [18]int32
	offset  [17]int32
	symbols []byte
}

func newHuffman(counts [16]byte, symbols []byte) (*huffman, error) {
	h := &huffman{symbols: append([]byte(nil), symbols...)}
	code, next := int32(0), int32(0)
	for length := 1; length <= 16; length++ {
		n := int32(counts[length-1])
		if code+n > 1<<length {
			return nil, errors.New("losslessjpeg: a Huffman table has too many codes")
		}
		h.offset[length] = next - code
		for range n {
			category := h.symbols[next]
			if category > mostCategory {
				return nil, errors.New("losslessjpeg: a difference of more than 16 bits")
			}
			if length <= quickBits {
				first := code << (quickBits - length)
				for i := range int32(1) << (quickBits - length) {
					h.quick[first+i] = uint16(length)<<8 | uint16(category)
				}
			}
			code, next = code+1, next+1
		}
		h.limit[length] = code << (16 - length)
		code <<= 1
	}
	h.limit[17] = 1 << 17
	return h, nil
}

// slow finds the code at the head of 16 bits that is longer than quickBits; length 0 for none.
func (h *huffman) slow(head int32) (length uint, category byte) {
	for l := quickBits + 1; l <= 16; l++ {
		if head < h.limit[l] {
			at := head>>(16-l) + h.offset[l]
			if at < 0 || int(at) >= len(h.symbols) {
				return 0, 0
			}
			return uint(l), h.symbols[at]
		}
	}
	return 0, 0
}
