// Package tiffdir reads the directories of a TIFF structure, which raw photos have too: the fields of each and their values, however
// damaged the file is.
//
// [Read] lists the directories; [Directory.Whole] and [Directory.Numbers] are the values of a tag.
//
// Source: TIFF 6.0, section 2.
package tiffdir

import (
	"encoding/binary"
	"math"

	"huewright/imageio/internal/bigendian"
)

// Bounds of the structure; our own choice, far beyond what programs write.
const (
	mostDirectories = 64
	mostFields      = 4096
)

// SubDirectories is the tag of where directories lie below this one.
const SubDirectories = 330

// A Directory is one of a TIFF structure, by tag.
type Directory map[int]Field

// A Field is the value of a tag, of a kind that TIFF numbers.
type Field struct {
	Kind, Count int
	Data        []byte // as part of the file; nil where the file does not hold it
	order       binary.ByteOrder
}

// The kinds of numbers, of which callers tell apart KindShort.
const (
	kindByte, kindASCII, KindShort, kindLong, kindRational         = 1, 2, 3, 4, 5
	kindSByte, kindUndefined, kindSShort, kindSLong, kindSRational = 6, 7, 8, 9, 10
	kindFloat, kindDouble, kindIFD                                 = 11, 12, 13
)

var kindSizes = [...]int{
	kindByte: 1, kindASCII: 1, KindShort: 2, kindLong: 4, kindRational: 8, kindSByte: 1, kindUndefined: 1, kindSShort: 2, kindSLong: 4,
	kindSRational: 8, kindFloat: 4, kindDouble: 8, kindIFD: 4,
}

// Read lists the directories of a file that begins as a TIFF does, however damaged: those of the chain, one for each page, and behind
// them those below. The order is that of the file's bytes.
func Read(data []byte) (all []Directory, pages int, order binary.ByteOrder) {
	if len(data) < 8 {
		return nil, 0, nil
	}
	order = binary.LittleEndian
	if data[0] == 'M' {
		order = binary.BigEndian
	}
	seen := map[uint32]bool{0: true}
	visit := func(at uint32) (next uint32, ok bool) {
		if seen[at] || len(all) == mostDirectories {
			return 0, false
		}
		seen[at] = true
		d, next := readDirectory(data, order, at)
		if d == nil {
			return 0, false
		}
		all = append(all, d)
		return next, true
	}
	for at, ok := visit(order.Uint32(data[4:])); ok; at, ok = visit(at) {
		pages++
	}
	for i := 0; i < len(all); i++ { // those below are read while the list grows
		if below := all[i][SubDirectories]; below.Count <= mostDirectories {
			for _, at := range below.Numbers() {
				visit(uint32(at))
			}
		}
	}
	return all, pages, order
}

func readDirectory(data []byte, order binary.ByteOrder, at uint32) (d Directory, next uint32) {
	head := bigendian.Part(data, int(at), 2)
	if head == nil {
		return nil, 0
	}
	count := int(order.Uint16(head))
	body := bigendian.Part(data, int(at)+2, 12*count)
	if body == nil || count > mostFields {
		return nil, 0
	}
	d = Directory{}
	for ; len(body) > 0; body = body[12:] {
		d[int(order.Uint16(body))] = readField(data, order, body[:12])
	}
	if tail := bigendian.Part(data, int(at)+2+12*count, 4); tail != nil {
		next = order.Uint32(tail)
	}
	return d, next
}

func readField(data []byte, order binary.ByteOrder, entry []byte) Field {
	f := Field{Kind: int(order.Uint16(entry[2:])), order: order}
	count := order.Uint32(entry[4:])
	if f.Kind >= len(kindSizes) || kindSizes[f.Kind] == 0 || uint64(count) > uint64(len(data)) {
		return Field{}
	}
	f.Count = int(count)
	size := kindSizes[f.Kind] * f.Count
	if size <= 4 {
		f.Data = bigendian.Part(entry[8:12], 0, size)
	} else {
		f.Data = bigendian.Part(data, int(order.Uint32(entry[8:])), size)
	}
	return f
}

// Numbers are the values as numbers; nil where the file does not hold them or they are text. A ratio over 0 is NaN.
func (f Field) Numbers() []float64 {
	if f.Data == nil || f.Kind == kindASCII {
		return nil
	}
	out := make([]float64, f.Count)
	for i := range out {
		b := f.Data[kindSizes[f.Kind]*i:]
		switch f.Kind {
		case kindByte, kindUndefined:
			out[i] = float64(b[0])
		case kindSByte:
			out[i] = float64(int8(b[0]))
		case KindShort:
			out[i] = float64(f.order.Uint16(b))
		case kindSShort:
			out[i] = float64(int16(f.order.Uint16(b)))
		case kindLong, kindIFD:
			out[i] = float64(f.order.Uint32(b))
		case kindSLong:
			out[i] = float64(int32(f.order.Uint32(b)))
		case kindRational:
			out[i] = ratio(float64(f.order.Uint32(b)), float64(f.order.Uint32(b[4:])))
		case kindSRational:
			out[i] = ratio(float64(int32(f.order.Uint32(b))), float64(int32(f.order.Uint32(b[4:]))))
		case kindFloat:
			out[i] = float64(math.Float32frombits(f.order.Uint32(b)))
		case kindDouble:
			out[i] = math.Float64frombits(f.order.Uint64(b))
		}
	}
	return out
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return math.NaN()
	}
	return a / b
}

// most is how many values of a tag are looked at where the format sets no number: one for each row or column.
const most = 1 << 17

// Numbers are the values of a tag; nil where it is not there or has far too many.
func (d Directory) Numbers(tag int) []float64 {
	if f := d[tag]; f.Count <= most {
		return f.Numbers()
	}
	return nil
}

// Whole is the first value of a tag as a whole number that is not negative, or otherwise.
func (d Directory) Whole(tag, otherwise int) int {
	f := d[tag]
	if f.Count < 1 {
		return otherwise
	}
	f.Count = 1
	if v := f.Numbers(); v != nil && v[0] >= 0 && v[0] <= math.MaxUint32 {
		return int(v[0])
	}
	return otherwise
}
