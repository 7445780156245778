package losslessjpeg

import (
	"errors"
	"fmt"

	"huewright/imageio/internal/bigendian"
)

var (
	// ErrShort reports a file that ends before its samples do.
	ErrShort = errors.New("losslessjpeg: it ends too early")
	// ErrOther reports a JPEG of another process: with losses, arithmetic, subsampled.
	ErrOther = errors.New("losslessjpeg: it is of another kind")
)

// A Frame is what the header says of the samples.
type Frame struct{ Wide, High, Components, Bits int }

// Samples is how many there are.
func (f Frame) Samples() int { return f.Wide * f.High * f.Components }

type header struct {
	Frame
	ids       [4]byte
	tables    [4]*huffman // as defined, by their number
	of        [4]*huffman // of each component
	predictor int
	shift     int // point transform
	restart   int // lines between restart markers; 0 for none
	scan      int // where the coded data begin
}

const (
	startOfImage    = 0xd8
	losslessFrame   = 0xc3
	huffmanTables   = 0xc4
	startOfScan     = 0xda
	restartInterval = 0xdd
	firstRestart    = 0xd0
)

// Size reads what the header says of the samples.
func Size(data []byte) (Frame, error) {
	h, err := readHeader(data)
	return h.Frame, err
}

// readHeader reads the segments up to the scan, of which there must be one of all components.
func readHeader(data []byte) (h header, err error) {
	if len(data) < 4 || data[0] != 0xff || data[1] != startOfImage {
		return h, ErrOther
	}
	interval := 0
	for at := 2; ; {
		for at < len(data) && data[at] == 0xff && at+1 < len(data) && data[at+1] == 0xff {
			at++ // padding
		}
		if at+4 > len(data) {
			return h, ErrShort
		}
		if data[at] != 0xff {
			return h, errors.New("losslessjpeg: no marker where there should be one")
		}
		marker, size := data[at+1], int(bigendian.Uint16(data, at+2))
		body := bigendian.Part(data, at+4, size-2)
		if body == nil {
			return h, ErrShort
		}
		at += 2 + size
		switch {
		case marker == losslessFrame:
			err = h.readFrame(body)
		case marker >= 0xc0 && marker <= 0xcf && marker != huffmanTables:
			return h, ErrOther
		case marker == huffmanTables:
			err = h.readTables(body)
		case marker == restartInterval && len(body) == 2:
			interval = int(bigendian.Uint16(body, 0))
		case marker == startOfScan:
			h.scan = at
			return h, h.readScan(body, interval)
		}
		if err != nil {
			return h, err
		}
	}
}

func (h *header) readFrame(body []byte) error {
	if h.Wide != 0 || len(body) < 6 || len(body) != 6+3*int(body[5]) {
		return errors.New("losslessjpeg: the frame header is wrong")
	}
	f := Frame{
		Bits: int(body[0]), High: int(bigendian.Uint16(body, 1)), Wide: int(bigendian.Uint16(body, 3)), Components: int(body[5]),
	}
	switch {
	case f.Components < 1 || f.Components > 4 || f.Bits < 2 || f.Bits > 16:
		return ErrOther
	case f.Wide < 1 || f.High < 1: // a number of lines that comes later (DNL) is not read
		return errors.New("losslessjpeg: it does not say how large it is")
	}
	for i := range f.Components {
		if c := body[6+3*i:]; c[1] != 0x11 && f.Components > 1 {
			return ErrOther // subsampled
		} else if h.ids[i] = c[0]; i > 0 && h.ids[i] == h.ids[i-1] {
			return errors.New("losslessjpeg: two components of one name")
		}
	}
	h.Frame = f
	return nil
}

func (h *header) readTables(body []byte) error {
	for len(body) > 0 {
		number := int(body[0] & 15)
		if len(body) < 17 || body[0]>>4 != 0 || number > 3 {
			return errors.New("losslessjpeg: a Huffman table is wrong")
		}
		count := 0
		for _, n := range body[1:17] {
			count += int(n)
		}
		if len(body) < 17+count {
			return errors.New("losslessjpeg: a Huffman table is cut short")
		}
		table, err := newHuffman([16]byte(body[1:17]), body[17:17+count])
		if err != nil {
			return err
		}
		h.tables[number] = table
		body = body[17+count:]
	}
	return nil
}

func (h *header) readScan(body []byte, interval int) error {
	n := h.Components
	switch {
	case n == 0:
		return errors.New("losslessjpeg: a scan without a frame")
	case len(body) != 4+2*n || int(body[0]) != n:
		return ErrOther // one scan for each component
	}
	for i := range n {
		number := int(body[2+2*i] >> 4)
		if body[1+2*i] != h.ids[i] || number > 3 || h.tables[number] == nil {
			return errors.New("losslessjpeg: the scan names what there is not")
		}
		h.of[i] = h.tables[number]
	}
	h.predictor, h.shift = int(body[1+2*n]), int(body[3+2*n]&15)
	switch {
	case h.predictor < 1 || h.predictor > 7:
		return ErrOther
	case h.shift >= h.Bits:
		return errors.New("losslessjpeg: it keeps no bits")
	case interval%h.Wide != 0: // H.1.1: whole lines
		return fmt.Errorf("losslessjpeg: restarts after %d samples of lines of %d", interval, h.Wide)
	}
	h.restart = interval / h.Wide
	return nil
}
