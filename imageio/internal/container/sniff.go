package container

import (
	"bytes"
	"slices"
	"unicode/utf8"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/tiffdir"
	"huewright/internal/fault"
)

// sniff tells a file's format by its content, or why it cannot be used.
func sniff(data []byte) (Format, *fault.Fault) {
	has := func(offset int, magic string) bool {
		return len(data) >= offset+len(magic) && string(data[offset:offset+len(magic)]) == magic
	}
	switch {
	case len(data) == 0:
		return "", fault.New(fault.Photo, "photo.empty")
	case has(0, "\xff\xd8\xff"):
		return formatJPEG, nil
	case has(0, "\x89PNG\r\n\x1a\n"):
		return formatPNG, nil
	case has(0, "RIFF") && has(8, "WEBP"):
		return formatWebP, nil
	case has(4, "ftyp"):
		return sniffBrands(data)
	}
	switch raw, open := isRaw(data); {
	case open:
		return formatDNG, nil
	case raw:
		return "", fault.New(fault.Photo, "photo.raw")
	}
	switch {
	case has(0, "II*\x00"), has(0, "MM\x00*"):
		return formatTIFF, nil
	case has(0, "II+\x00"), has(0, "MM\x00+"):
		return "", fault.New(fault.Photo, "photo.big-tiff")
	case has(0, "GIF8"):
		return "", fault.New(fault.Photo, "photo.gif")
	case has(0, "BM") && len(data) > 14 && bytes.Equal(data[6:10], make([]byte, 4)):
		return "", fault.New(fault.Photo, "photo.bmp")
	case has(0, "%PDF"):
		return "", fault.New(fault.Photo, "photo.pdf")
	case has(36, "acsp"):
		return "", fault.New(fault.Photo, "photo.profile")
	case looksLikeText(data):
		return "", fault.New(fault.Photo, "photo.text")
	}
	return "", fault.New(fault.Photo, "photo.no-picture")
}

// sniffBrands tells the formats apart that share the ISO base media container.
//
// Source: ISO/IEC 23008-12 (HEIF), annexes B and C.
func sniffBrands(data []byte) (Format, *fault.Fault) {
	brands := fileBrands(data)
	isAny := func(names ...string) bool {
		return slices.ContainsFunc(brands, func(b string) bool { return slices.Contains(names, b) })
	}
	switch {
	case isAny("crx "):
		return "", fault.New(fault.Photo, "photo.raw")
	case isAny("avif", "avis", "heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "mif1", "msf1", "mif2", "miaf"):
		// What the picture is coded in counts; brands are written carelessly.
		items, err := readItems(data)
		if err == nil && items.coding() == "av01" || err != nil && isAny("avif", "avis") {
			return formatAVIF, nil
		}
		return formatHEIC, nil
	case isAny("isom", "iso2", "mp41", "mp42", "qt  ", "M4V "):
		return "", fault.New(fault.Photo, "photo.film")
	}
	return "", fault.New(fault.Photo, "photo.no-picture")
}

// fileBrands lists the four-letter brands of an ftyp box at the start of data.
func fileBrands(data []byte) []string {
	size := min(int(bigendian.Uint32(data, 0)), len(data))
	var brands []string
	for i := 8; i+4 <= size; i += 4 {
		if i != 12 { // the minor version
			brands = append(brands, string(data[i:i+4]))
		}
	}
	return brands
}

func looksLikeText(data []byte) bool {
	head := data[:min(len(data), 512)]
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		cut := r == utf8.RuneError && len(head) < utf8.UTFMax && len(data) > 512
		if !cut && (r == utf8.RuneError || r < ' ' && r != '\n' && r != '\r' && r != '\t') {
			return false
		}
		head = head[n:]
	}
	return true
}

// isRaw tells camera raw files from other ones, by structure, and those in the open format from makers' own. Many are built like a TIFF
// and open as one, but what opens is a thumbnail.
func isRaw(data []byte) (raw, open bool) {
	if len(data) < 16 {
		return false, false
	}
	switch string(data[:4]) {
	case "IIRO", "IIRS", "MMOR", "IIU\x00":
		return true, false // TIFF with numbers of their own in place of 42
	case "II*\x00", "MM\x00*":
	default:
		return string(data[8:15]) == "CCD-RAW", false
	}
	if string(data[8:10]) == "CR" {
		return true, false // a second signature behind the header, where plain TIFF has data
	}
	dirs, _, _ := tiffdir.Read(data)
	for _, dir := range dirs {
		if _, found := dir[tagDNGVersion]; found {
			return true, true
		}
		if p := dir.Whole(tagPhotometric, 0); p == photometricCFA || p == photometricRaw {
			raw = true
		}
	}
	return raw, false
}
