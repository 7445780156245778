package container

import (
	"encoding/binary"

	"huewright/imageio/internal/bigendian"
)

// The tags we look at. Sources: TIFF 6.0; TIFF/EP (ISO 12234-2); DNG 1.7; ICC.1:2022, B.3.
const (
	tagBits          = 258
	tagCompression   = 259
	tagPhotometric   = 262
	tagRowsPerStrip  = 278
	tagTileWidth     = 322
	tagTileLength    = 323
	tagSubDirs       = 330
	tagSampleFormat  = 339
	tagICCProfile    = 34675
	tagDNGVersion    = 0xC612
	photometricCFA   = 32803 // samples of single colours, straight from the sensor
	photometricRaw   = 34892 // the same, already interpolated
	maxTIFFDirs      = 64
	maxTIFFDirFields = 4096
)

// tiffDir is one directory of a TIFF structure: first values of numeric tags, and where the
// bytes of the others lie.
type tiffDir map[int]tiffField

type tiffField struct {
	values []uint32 // of BYTE, SHORT and LONG fields, at most 16 of them
	data   []byte   // the whole of it
}

func (d tiffDir) first(tag, otherwise int) int {
	if f := d[tag]; len(f.values) > 0 {
		return int(f.values[0])
	}
	return otherwise
}

// tiffDirs reads the directories of a TIFF structure, those of the chain and those below
// them, however damaged. The first is that of the first page.
func tiffDirs(data []byte) (dirs []tiffDir, pages int) {
	if len(data) < 8 {
		return nil, 0
	}
	var order binary.ByteOrder = binary.LittleEndian
	if data[0] == 'M' {
		order = binary.BigEndian
	}
	seen := map[uint32]bool{0: true}
	var below []uint32
	for at := order.Uint32(data[4:]); !seen[at] && len(dirs) < maxTIFFDirs; {
		seen[at] = true
		dir, next := readTIFFDir(data, order, at)
		if dir == nil {
			break
		}
		dirs, pages = append(dirs, dir), pages+1
		below = append(below, dir[tagSubDirs].values...)
		at = next
	}
	for len(below) > 0 && len(dirs) < maxTIFFDirs {
		at := below[0]
		below = below[1:]
		if seen[at] {
			continue
		}
		seen[at] = true
		if dir, _ := readTIFFDir(data, order, at); dir != nil {
			dirs = append(dirs, dir)
			below = append(below, dir[tagSubDirs].values...)
		}
	}
	return dirs, pages
}

func readTIFFDir(data []byte, order binary.ByteOrder, at uint32) (dir tiffDir, next uint32) {
	head := bigendian.Part(data, int(at), 2)
	if head == nil {
		return nil, 0
	}
	count := int(order.Uint16(head))
	body := bigendian.Part(data, int(at)+2, 12*count)
	if body == nil || count > maxTIFFDirFields {
		return nil, 0
	}
	dir = tiffDir{}
	for ; len(body) > 0; body = body[12:] {
		dir[int(order.Uint16(body))] = readTIFFField(data, order, body[:12])
	}
	if tail := bigendian.Part(data, int(at)+2+12*count, 4); tail != nil {
		next = order.Uint32(tail)
	}
	return dir, next
}

func readTIFFField(data []byte, order binary.ByteOrder, entry []byte) tiffField {
	sizes := [...]int{1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 6: 1, 7: 1, 8: 2, 9: 4, 10: 8, 11: 4, 12: 8, 13: 4}
	kind, count := int(order.Uint16(entry[2:])), int(order.Uint32(entry[4:]))
	if kind >= len(sizes) || sizes[kind] == 0 || count > len(data) {
		return tiffField{}
	}
	size := sizes[kind] * count
	value := bigendian.Part(entry[8:12], 0, size)
	if size > 4 {
		value = bigendian.Part(data, int(order.Uint32(entry[8:])), size)
	}
	f := tiffField{data: value}
	for i := 0; i < min(count, 16) && value != nil; i++ {
		switch kind {
		case 1, 7:
			f.values = append(f.values, uint32(value[i]))
		case 3:
			f.values = append(f.values, uint32(order.Uint16(value[2*i:])))
		case 4, 13:
			f.values = append(f.values, order.Uint32(value[4*i:]))
		}
	}
	return f
}
