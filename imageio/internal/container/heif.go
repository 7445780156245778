package container

import (
	"strings"

	"github.com/bep/imagemeta"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
)

// readHEIF finds size, colours and uprightness of the primary picture of a HEIC or AVIF. Their
// decoders tell none of it.
//
// Sources: ISO/IEC 14496-12 (boxes, colr), ISO/IEC 23008-12 (items and their properties),
// ISO/IEC 23000-22 (MIAF: irot comes before imir, and EXIF orientation means nothing).
func readHEIF(kind Format, data []byte, file *Envelope) *PhotoError {
	items, err := readItems(data)
	if err != nil {
		return Damaged(kind, err.Error())
	}
	file.EXIF, file.EXIFIn = data, imagemeta.HEIF
	file.Orientation = 1
	var configuration []byte
	turns, mirrored := 0, 0
	for _, property := range items.properties() {
		body := property.body
		switch {
		case property.kind == "ispe" && len(body) >= 12:
			file.Width, file.Height = int(bigendian.Uint32(body, 4)), int(bigendian.Uint32(body, 8))
		case property.kind == "hvcC":
			configuration = body
		case property.kind == "colr" && len(body) > 4 && (string(body[:4]) == "prof" || string(body[:4]) == "rICC"):
			file.ICC = body[4:]
		case property.kind == "colr" && len(body) >= 11 && string(body[:4]) == "nclx":
			file.Coding = &icc.Coding{
				Primaries: int(bigendian.Uint16(body, 4)), Curve: int(bigendian.Uint16(body, 6)),
				Matrix: int(bigendian.Uint16(body, 8)), Full: body[10]&0x80 != 0,
			}
		case property.kind == "irot" && len(body) >= 1:
			turns = int(body[0] & 3)
		case property.kind == "imir" && len(body) >= 1:
			mirrored = 1 + int(body[0]&1)
		case property.kind == "clap" && kind == FormatAVIF:
			file.Warn("the file asks for its edges to be cut off: they are read as well")
		}
	}
	if items.hasGainMap() {
		file.Warn(gainMapWarning)
	}
	if kind == FormatAVIF {
		file.Orientation = turnedThenMirrored[turns][mirrored]
		file.EXIFIn = imagemeta.AVIF
		return nil
	}
	return file.readHEVCColours(items.coding(), configuration)
}

// turnedThenMirrored gives the EXIF number for quarter turns anticlockwise, followed by nothing,
// by top and bottom exchanged, or by left and right exchanged.
var turnedThenMirrored = [4][3]int{{1, 4, 2}, {8, 5, 7}, {3, 2, 4}, {6, 7, 5}}

// hasGainMap reports a second picture in the file that says how much brighter a bright screen
// is to show the first.
//
// Sources: ISO 21496-1 and ISO/IEC 23008-12 amendment 1 (items of kind tmap); before them,
// auxiliary pictures of types whose names end so, which is common practice without a source.
func (h *heifItems) hasGainMap() bool {
	for _, kind := range h.kinds {
		if kind == "tmap" {
			return true
		}
	}
	for _, property := range h.shared {
		if property.kind == "auxC" && strings.Contains(strings.ToLower(string(property.body)), "hdrgainmap") {
			return true
		}
	}
	return false
}
