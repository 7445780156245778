package losslessjpeg

import (
	"context"
	"errors"
)

// Options are the ways of writers that differ.
type Options struct {
	// LongCategory16 reads 16 further bits of a difference of category 16, as the first raw files have them; T.81 has none.
	LongCategory16 bool
}

var errCode = errors.New("losslessjpeg: a code that is not in the table")

// Decode decodes the samples into a slice that must be as long as Frame.Samples says. The error is ErrShort, ErrOther, one that
// tells developers what is damaged, or that of the context.
func Decode(ctx context.Context, data []byte, into []uint16, opt Options) (Frame, error) {
	h, err := readHeader(data)
	if err != nil {
		return h.Frame, err
	}
	if len(into) != h.Samples() {
		return h.Frame, errors.New("losslessjpeg: it is not as large as it should be")
	}
	d := decoder{header: &h, in: bitReader{data: data[h.scan:]}, opt: opt}
	line := h.Wide * h.Components
	restarts := 0
	for y := range h.High {
		if y%64 == 0 && ctx.Err() != nil {
			return h.Frame, ctx.Err()
		}
		first := y == 0
		if h.restart > 0 && y > 0 && y%h.restart == 0 {
			if !d.in.restart(restarts & 7) {
				return h.Frame, errors.New("losslessjpeg: a restart marker is missing")
			}
			restarts++
			first = true
		}
		row := into[y*line:][:line]
		if first {
			err = d.firstLine(row)
		} else {
			err = d.line(row, into[(y-1)*line:][:line])
		}
		switch {
		case d.in.overrun():
			return h.Frame, ErrShort
		case err != nil:
			return h.Frame, err
		}
	}
	if h.shift > 0 {
		for i := range into {
			into[i] <<= h.shift
		}
	}
	return h.Frame, nil
}

type decoder struct {
	*header
	in  bitReader
	opt Options
}

// difference decodes one. It is modulo 2¹⁶, so that its sign needs no bits.
//
// Source: ITU-T T.81, F.2.2.1 and H.1.2.2.
func (d *decoder) difference(table *huffman) (uint16, error) {
	if d.in.count < 32 {
		d.in.fill()
	}
	known := table.quick[d.in.held>>(64-quickBits)]
	length, category := uint(known>>8), uint(known&0xff)
	if length == 0 {
		l, c := table.slow(int32(d.in.held >> 48))
		if l == 0 {
			return 0, errCode
		}
		length, category = l, uint(c)
	}
	d.in.held <<= length
	d.in.count -= length
	switch {
	case category == 0:
		return 0, nil
	case category == 16 && !d.opt.LongCategory16:
		return 1 << 15, nil
	}
	bits := d.in.held >> (64 - category)
	d.in.held <<= category
	d.in.count -= category
	if bits>>(category-1) == 0 {
		bits -= 1<<category - 1
	}
	return uint16(bits), nil
}

// firstLine decodes a line that has none above: the first, and those behind a restart marker.
func (d *decoder) firstLine(row []uint16) error {
	n := d.Components
	for i := range row {
		diff, err := d.difference(d.of[i%n])
		if err != nil {
			return err
		}
		if i < n {
			row[i] = 1<<(d.Bits-d.shift-1) + diff
		} else {
			row[i] = row[i-n] + diff
		}
	}
	return nil
}

// line decodes a line by the one above.
//
// Source: ITU-T T.81, table H.1: a is to the left, b above, c above a.
func (d *decoder) line(row, above []uint16) error {
	n := d.Components
	for i := range n {
		diff, err := d.difference(d.of[i])
		if err != nil {
			return err
		}
		row[i] = above[i] + diff
	}
	if d.predictor == 1 && n <= 2 {
		return d.lineByLeft(row)
	}
	component := 0
	for i := n; i < len(row); i++ {
		diff, err := d.difference(d.of[component])
		if err != nil {
			return err
		}
		if component++; component == n {
			component = 0
		}
		a, b, c := int(row[i-n]), int(above[i]), int(above[i-n])
		predicted := a
		switch d.predictor {
		case 2:
			predicted = b
		case 3:
			predicted = c
		case 4:
			predicted = a + b - c
		case 5:
			predicted = a + (b-c)>>1
		case 6:
			predicted = b + (a-c)>>1
		case 7:
			predicted = (a + b) >> 1
		}
		row[i] = uint16(predicted) + diff
	}
	return nil
}

// lineByLeft is line for predictor 1 and one or two components, which most cameras write.
func (d *decoder) lineByLeft(row []uint16) error {
	n := d.Components
	first, second := d.of[0], d.of[n-1]
	i := n
	if n == 1 {
		left := row[0]
		for ; i < len(row); i++ {
			diff, err := d.difference(first)
			if err != nil {
				return err
			}
			left += diff
			row[i] = left
		}
		return nil
	}
	a, b := row[0], row[1]
	for ; i+1 < len(row); i += 2 {
		diff, err := d.difference(first)
		if err != nil {
			return err
		}
		a += diff
		row[i] = a
		if diff, err = d.difference(second); err != nil {
			return err
		}
		b += diff
		row[i+1] = b
	}
	return nil
}
