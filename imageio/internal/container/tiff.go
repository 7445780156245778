package container

import (
	"encoding/binary"
	"fmt"

	"huewright/imageio/internal/bigendian"
)

// The tags we look at. Sources: TIFF 6.0; TIFF/EP (ISO 12234-2); DNG 1.7; ICC.1:2022, B.3.
const (
	tagBits          = 258
	tagCompression   = 259
	tagPhotometric   = 262
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

// rawKind tells camera raw files from other ones, by structure. Many are built like a TIFF
// and open as one, but what opens is a thumbnail.
func rawKind(data []byte) string {
	const raw = "is a camera raw file"
	if len(data) < 16 {
		return ""
	}
	switch string(data[:4]) {
	case "IIRO", "IIRS", "MMOR", "IIU\x00":
		return raw // TIFF with numbers of their own in place of 42
	case "II*\x00", "MM\x00*":
	default:
		if string(data[8:15]) == "CCD-RAW" {
			return raw
		}
		return ""
	}
	if string(data[8:10]) == "CR" {
		return raw // a second signature behind the header, where plain TIFF has data
	}
	dirs, _ := tiffDirs(data)
	for _, dir := range dirs {
		if _, found := dir[tagDNGVersion]; found {
			return raw + " (DNG)"
		}
		if p := dir.first(tagPhotometric, 0); p == photometricCFA || p == photometricRaw {
			return raw
		}
	}
	return ""
}

// readTIFF takes the profile of the first page and names what the decoder would refuse or,
// worse, misread.
func readTIFF(data []byte, file *Envelope) *PhotoError {
	dirs, pages := tiffDirs(data)
	if len(dirs) == 0 {
		return Damaged(formatTIFF, "it has no page")
	}
	page := dirs[0]
	if kind := unreadTIFF(page); kind != "" {
		return &PhotoError{Problem: "is a TIFF " + kind + ", which is not read", Advice: "save it as a plain RGB TIFF or PNG, 8 or 16 bits, with the profile embedded"}
	}
	if pages > 1 {
		file.Warn("the file has %d pages: the first is read", pages)
	}
	if p := page.first(tagPhotometric, 0); p == PhotometricLab || p == photometricICCLab {
		file.Lab = p
	}
	file.ICC = page[tagICCProfile].data
	file.EXIF = data
	return nil
}

func unreadTIFF(page tiffDir) string {
	switch p := page.first(tagPhotometric, -1); p {
	case 0, 1, 2, 3:
	case 5:
		return "in print colours (CMYK)"
	case 6:
		return "in YCbCr"
	case PhotometricLab, photometricICCLab:
		if bits := page[tagBits].values; len(bits) != 3 || bits[0] != 8 && bits[0] != 16 {
			return "in L*a*b* of other than three times 8 or 16 bits"
		}
	case 10:
		return "in L*a*b* as facsimile codes it"
	case -1:
		return "that does not say what its colours are"
	default:
		return fmt.Sprintf("of photometric kind %d", p)
	}
	if f := page.first(tagSampleFormat, 1); f != 1 {
		return "with signed or floating-point numbers"
	}
	if b := page.first(tagBits, 1); b == 32 || b == 64 {
		return fmt.Sprintf("with %d bits", b)
	}
	if c := page.first(tagCompression, 1); c == 6 || c == 7 {
		return "with JPEG inside"
	}
	return ""
}
