package rawfile

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"
)

// entry is a field of a directory, its values already in the order of bytes.
type entry struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

// byteOrder is one of the two of package binary.
type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

// ifd is a directory being made.
type ifd struct {
	order   byteOrder
	entries []entry
}

// put adds a field, but none without values.
func (d *ifd) put(tag, kind uint16, count int, value []byte) {
	if count == 0 {
		return
	}
	d.entries = append(d.entries, entry{tag, kind, uint32(count), value})
}

func (d *ifd) bytes(tag uint16, v ...byte) { d.put(tag, 1, len(v), v) }

func (d *ifd) undefined(tag uint16, v []byte) { d.put(tag, 7, len(v), v) }

func (d *ifd) text(tag uint16, s string) { d.put(tag, 2, len(s)+1, append([]byte(s), 0)) }

func (d *ifd) shorts(tag uint16, v ...int) {
	b := make([]byte, 2*len(v))
	for i, x := range v {
		d.order.PutUint16(b[2*i:], uint16(x))
	}
	d.put(tag, 3, len(v), b)
}

func (d *ifd) longs(tag uint16, v ...int) {
	b := make([]byte, 4*len(v))
	for i, x := range v {
		d.order.PutUint32(b[4*i:], uint32(x))
	}
	d.put(tag, 4, len(v), b)
}

// ratios writes numbers as fractions of a million, signed ones where asked.
func (d *ifd) ratios(tag uint16, signed bool, v ...float64) {
	const of = 1000000
	b, kind := make([]byte, 8*len(v)), uint16(5)
	if signed {
		kind = 10
	}
	for i, x := range v {
		d.order.PutUint32(b[8*i:], uint32(int32(math.Round(x*of))))
		d.order.PutUint32(b[8*i+4:], of)
	}
	d.put(tag, kind, len(v), b)
}

// size is what the directory takes without values that lie elsewhere.
func (d *ifd) size() int { return 2 + 12*len(d.entries) + 4 }

// appendTo writes the directory at the end of a file, which has even length, and behind it the values that do not fit.
func (d *ifd) appendTo(file []byte) []byte {
	slices.SortStableFunc(d.entries, func(a, b entry) int { return cmp.Compare(a.tag, b.tag) })
	behind := len(file) + d.size()
	var values []byte
	file = d.order.AppendUint16(file, uint16(len(d.entries)))
	for _, e := range d.entries {
		file = d.order.AppendUint16(file, e.tag)
		file = d.order.AppendUint16(file, e.kind)
		file = d.order.AppendUint32(file, e.count)
		if len(e.value) <= 4 {
			file = append(file, append(append([]byte(nil), e.value...), 0, 0, 0, 0)[:4]...)
			continue
		}
		file = d.order.AppendUint32(file, uint32(behind+len(values)))
		values = append(values, e.value...)
		if len(values)%2 == 1 {
			values = append(values, 0)
		}
	}
	file = d.order.AppendUint32(file, 0)
	return append(file, values...)
}
