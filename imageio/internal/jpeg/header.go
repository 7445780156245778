package jpeg

import (
	"context"
	"errors"

	"huewright/imageio/internal/bigendian"
)

// ErrOther says that a file is left to the standard library.
var ErrOther = errors.New("jpeg: not of the kind that is read in parts")

// Markers.
//
// Source: ITU-T T.81, table B.1.
const (
	frameBaseline = 0xc0
	frameExtended = 0xc1
	frameGradual  = 0xc2 // progressive
	huffmanTables = 0xc4
	firstRestart  = 0xd0
	lastRestart   = 0xd7
	startOfImage  = 0xd8
	endOfImage    = 0xd9
	startOfScan   = 0xda
	quantTables   = 0xdb
	restartEvery  = 0xdd
	firstApp      = 0xe0
	adobeApp      = 0xee
	lastApp       = 0xef
	comment       = 0xfe
)

const blockSide = 8

// A component is one of the planes of a picture: luma or a colour difference.
type component struct {
	name   byte
	h, v   int // blocks of it across and down in each unit
	quant  int // number of its table
	dc, ac *table
	steps  *[64]int32 // of quantisation, in zig-zag order
}

// A header is what stands before the coded data, and the tables that hold for these.
type header struct {
	width, height int
	baseline      bool
	progressive   bool
	components    []component
	restart       int // units between restarts; 0 for none
	jfif          bool
	adobe         bool
	transform     byte // as the Adobe segment says

	quants [4]*[64]int32
	tables [2][4]*definition // DC and AC
}

// read goes through the segments from the start of the file to the first scan. It returns where its coded data begin, or, of
// a progressive file, its header. The error is ErrOther or that of the context.
func (h *header) read(ctx context.Context, data []byte) (begin int, err error) {
	if len(data) < 2 || data[0] != 0xff || data[1] != startOfImage {
		return 0, ErrOther
	}
	for at := 2; ; {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		marker, body, next := segment(data, at)
		if body == nil {
			return 0, ErrOther
		}
		ok := true
		switch {
		case marker == frameBaseline, marker == frameExtended, marker == frameGradual:
			ok = h.frame(marker, body)
		case marker == huffmanTables:
			ok = h.huffman(body)
		case marker == quantTables:
			ok = h.quantisation(body)
		case marker == restartEvery:
			ok = len(body) == 2
			h.restart = int(bigendian.Uint16(body, 0))
		case marker == startOfScan && h.progressive:
			return at, nil
		case marker == startOfScan:
			if !h.scan(body) {
				return 0, ErrOther
			}
			return next, nil
		default:
			ok = h.application(marker, body)
		}
		if !ok {
			return 0, ErrOther
		}
		at = next
	}
}

// segment is the marker segment that begins at a place, and where the next one does; its body is nil where there is none.
func segment(data []byte, at int) (marker byte, body []byte, next int) {
	for at+1 < len(data) && data[at] == 0xff && data[at+1] == 0xff {
		at++ // padding
	}
	if at+4 > len(data) || data[at] != 0xff || data[at+1] < frameBaseline || data[at+1] >= firstRestart && data[at+1] <= endOfImage {
		return 0, nil, 0
	}
	size := int(bigendian.Uint16(data, at+2))
	body = bigendian.Part(data, at+4, size-2)
	return data[at+1], body, at + 2 + size
}

// application takes what programs note beside the picture, and reports whether the segment is one of these.
func (h *header) application(marker byte, body []byte) bool {
	switch {
	case marker == firstApp && len(body) >= 5:
		h.jfif = string(body[:5]) == "JFIF\x00"
	case marker == adobeApp && len(body) >= 12 && string(body[:5]) == "Adobe":
		h.adobe, h.transform = true, body[11]
	}
	return marker >= firstApp && marker <= lastApp || marker == comment
}

// frame takes the size of the picture and its components.
//
// Source: ITU-T T.81, B.2.2.
func (h *header) frame(marker byte, body []byte) bool {
	if len(body) < 6 || h.components != nil {
		return false
	}
	n := int(body[5])
	if body[0] != 8 || n != 1 && n != 3 || len(body) != 6+3*n {
		return false
	}
	h.baseline, h.progressive = marker == frameBaseline, marker == frameGradual
	h.height, h.width = int(bigendian.Uint16(body, 1)), int(bigendian.Uint16(body, 3))
	for c := body[6:]; len(c) > 0; c = c[3:] {
		one := component{name: c[0], h: int(c[1] >> 4), v: int(c[1] & 15), quant: int(c[2])}
		for _, other := range h.components {
			if other.name == one.name {
				return false
			}
		}
		if one.quant > 3 {
			return false
		}
		h.components = append(h.components, one)
	}
	return h.height > 0 && h.width > 0 && h.sampled()
}

// sampled reports whether the planes are sampled as pictures of the standard library can be. A plane that is alone has one
// block in each unit, whatever the file says.
//
// Source: ITU-T T.81, A.1.1 and A.2.2.
func (h *header) sampled() bool {
	c := h.components
	if len(c) == 1 {
		known := func(n int) bool { return n == 1 || n == 2 || n == 4 }
		ok := known(c[0].h) && known(c[0].v)
		c[0].h, c[0].v = 1, 1
		return ok
	}
	luma, blue, red := c[0], c[1], c[2]
	among := func(n, most int) bool { return n == 1 || n == 2 || n == 4 && most == 4 }
	return among(luma.h, 4) && among(luma.v, 2) && among(blue.h, luma.h) && among(blue.v, luma.v) &&
		blue.h <= luma.h && blue.v <= luma.v && blue.h == red.h && blue.v == red.v
}

// quantisation takes tables of quantisation.
//
// Source: ITU-T T.81, B.2.4.1.
func (h *header) quantisation(body []byte) bool {
	for len(body) > 0 {
		number, size := body[0]&15, 1+int(body[0]>>4)
		if number > 3 || size > 2 || len(body) < 1+64*size {
			return false
		}
		steps := new([64]int32)
		for i := range steps {
			steps[i] = int32(bigendian.Uint(body, 1+i*size, size))
		}
		h.quants[number] = steps
		body = body[1+64*size:]
	}
	return true
}

// huffman takes tables of codes.
//
// Source: ITU-T T.81, B.2.4.2.
func (h *header) huffman(body []byte) bool {
	for len(body) > 0 {
		if len(body) < 17 {
			return false
		}
		class, number, n := body[0]>>4, body[0]&15, 0
		for _, count := range body[1:17] {
			n += int(count)
		}
		if class > 1 || number > 3 || n == 0 || n > 256 || len(body) < 17+n {
			return false
		}
		d, ok := newDefinition([16]byte(body[1:17]), body[17:17+n], class == 0)
		if !ok {
			return false
		}
		h.tables[class][number] = d
		body = body[17+n:]
	}
	return true
}

// scan takes the header of the only scan, of all components in the order of the frame.
//
// Source: ITU-T T.81, B.2.3.
func (h *header) scan(body []byte) bool {
	n := len(h.components)
	if n == 0 || len(body) != 4+2*n || int(body[0]) != n || body[1+2*n] != 0 || body[2+2*n] != 63 || body[3+2*n] != 0 {
		return false
	}
	blocks := 0
	for i := range h.components {
		c := &h.components[i]
		name, dc, ac := body[1+2*i], body[2+2*i]>>4, body[2+2*i]&15
		if name != c.name || dc > 3 || ac > 3 {
			return false
		}
		c.dc, c.ac, c.steps = h.tables[0][dc].table(), h.tables[1][ac].table().passing(), h.quants[c.quant]
		if c.dc == nil || c.ac == nil || c.steps == nil {
			return false
		}
		blocks += c.h * c.v
	}
	if h.baseline {
		for number := 2; number < 4; number++ { // which a baseline file may not have
			if h.tables[0][number] != nil || h.tables[1][number] != nil {
				return false
			}
		}
	}
	return blocks <= 10 && !h.inRGB()
}

// inRGB reports planes of red, green and blue, as the standard library tells them.
func (h *header) inRGB() bool {
	c := h.components
	if len(c) != 3 || h.jfif {
		return false
	}
	return h.adobe && h.transform == 0 || c[0].name == 'R' && c[1].name == 'G' && c[2].name == 'B'
}
