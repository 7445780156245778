package dng

import (
	"encoding/binary"
	"math"

	"huewright/imageio/internal/bigendian"
)

// Bounds of the structure; our own choice, far beyond what programs write.
const (
	mostDirectories = 64
	mostFields      = 4096
	mostDepth       = 4 // of directories below directories
)

// A directory is one of a TIFF structure, by tag.
type directory map[int]field

// A field is the value of a tag, of a kind that TIFF numbers.
type field struct {
	kind, count int
	data        []byte // nil where the file does not hold it
	order       binary.ByteOrder
}

// The kinds of numbers.
const (
	kindByte, kindASCII, kindShort, kindLong, kindRational         = 1, 2, 3, 4, 5
	kindSByte, kindUndefined, kindSShort, kindSLong, kindSRational = 6, 7, 8, 9, 10
	kindFloat, kindDouble, kindIFD                                 = 11, 12, 13
)

var kindSizes = [...]int{
	kindByte: 1, kindASCII: 1, kindShort: 2, kindLong: 4, kindRational: 8, kindSByte: 1, kindUndefined: 1, kindSShort: 2, kindSLong: 4,
	kindSRational: 8, kindFloat: 4, kindDouble: 8, kindIFD: 4,
}

// directories lists those of the chain and those below them. The first is that of the first page.
func directories(data []byte) (all []directory, order binary.ByteOrder) {
	if len(data) < 8 {
		return nil, nil
	}
	order = binary.LittleEndian
	if data[0] == 'M' {
		order = binary.BigEndian
	}
	seen := map[uint32]bool{0: true}
	var visit func(at uint32, depth int)
	visit = func(at uint32, depth int) {
		for !seen[at] && len(all) < mostDirectories {
			seen[at] = true
			d, next := readDirectory(data, order, at)
			if d == nil {
				return
			}
			all = append(all, d)
			if below := d[tagSubDirectories]; depth < mostDepth && below.count <= mostDirectories {
				for _, at := range below.numbers() {
					visit(uint32(at), depth+1)
				}
			}
			at = next
		}
	}
	visit(order.Uint32(data[4:]), 0)
	return all, order
}

func readDirectory(data []byte, order binary.ByteOrder, at uint32) (d directory, next uint32) {
	head := bigendian.Part(data, int(at), 2)
	if head == nil {
		return nil, 0
	}
	count := int(order.Uint16(head))
	body := bigendian.Part(data, int(at)+2, 12*count)
	if body == nil || count > mostFields {
		return nil, 0
	}
	d = directory{}
	for ; len(body) > 0; body = body[12:] {
		d[int(order.Uint16(body))] = readField(data, order, body[:12])
	}
	if tail := bigendian.Part(data, int(at)+2+12*count, 4); tail != nil {
		next = order.Uint32(tail)
	}
	return d, next
}

func readField(data []byte, order binary.ByteOrder, entry []byte) field {
	f := field{kind: int(order.Uint16(entry[2:])), order: order}
	count := order.Uint32(entry[4:])
	if f.kind >= len(kindSizes) || kindSizes[f.kind] == 0 || uint64(count) > uint64(len(data)) {
		return field{}
	}
	f.count = int(count)
	size := kindSizes[f.kind] * f.count
	if size <= 4 {
		f.data = bigendian.Part(entry[8:12], 0, size)
	} else {
		f.data = bigendian.Part(data, int(order.Uint32(entry[8:])), size)
	}
	return f
}

// numbers are the values as numbers; nil where the file does not hold them or they are text. A ratio over 0 is NaN.
func (f field) numbers() []float64 {
	if f.data == nil || f.kind == kindASCII {
		return nil
	}
	out := make([]float64, f.count)
	for i := range out {
		b := f.data[kindSizes[f.kind]*i:]
		switch f.kind {
		case kindByte, kindUndefined:
			out[i] = float64(b[0])
		case kindSByte:
			out[i] = float64(int8(b[0]))
		case kindShort:
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

// numbers are the values of a tag; nil where it is not there or has far too many.
func (d directory) numbers(tag int) []float64 {
	if f := d[tag]; f.count <= most {
		return f.numbers()
	}
	return nil
}

// whole is the first value of a tag as a whole number, or otherwise.
func (d directory) whole(tag, otherwise int) int {
	f := d[tag]
	if f.count < 1 {
		return otherwise
	}
	f.count = 1
	if v := f.numbers(); v != nil && v[0] >= math.MinInt32 && v[0] <= math.MaxUint32 {
		return int(v[0])
	}
	return otherwise
}
