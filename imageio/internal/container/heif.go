package container

import (
	"github.com/bep/imagemeta"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// readHEIF finds size, colours and uprightness of the primary picture of a HEIC or AVIF. Their
// decoders tell none of it.
//
// Sources: ISO/IEC 14496-12 (boxes, colr), ISO/IEC 23008-12 (items and their properties),
// ISO/IEC 23000-22 (MIAF: irot comes before imir, and EXIF orientation means nothing).
func readHEIF(data []byte, p *Picture) *fault.Fault {
	items, err := readItems(data)
	if err != nil {
		return damaged(p.Format, err)
	}
	p.exif, p.exifIn = data, imagemeta.HEIF
	p.Orientation = 1
	var configuration []byte
	turns, mirrored := 0, 0
	for _, property := range items.properties() {
		body := property.body
		switch {
		case property.kind == "ispe" && len(body) >= 12:
			p.width, p.height = int(bigendian.Uint32(body, 4)), int(bigendian.Uint32(body, 8))
		case property.kind == "hvcC":
			configuration = body
		case property.kind == "colr" && len(body) > 4 && (string(body[:4]) == "prof" || string(body[:4]) == "rICC"):
			p.profile = body[4:]
		case property.kind == "colr" && len(body) >= 11 && string(body[:4]) == "nclx":
			p.coding = &icc.Coding{
				Primaries: int(bigendian.Uint16(body, 4)), Curve: int(bigendian.Uint16(body, 6)),
				Matrix: int(bigendian.Uint16(body, 8)), Full: body[10]&0x80 != 0,
			}
		case property.kind == "irot" && len(body) >= 1:
			turns = int(body[0] & 3)
		case property.kind == "imir" && len(body) >= 1:
			mirrored = 1 + int(body[0]&1)
		case property.kind == "clap" && p.Format == formatAVIF:
			p.note(fault.Say("photo.edges-kept"))
		}
	}
	if wrong := p.readStreams(items, data); wrong != nil {
		return wrong
	}
	if items.hasGainMap() {
		p.note(fault.Say("photo.gain-map"))
	}
	if p.Format == formatAVIF {
		if !turnedByDecoder {
			p.Orientation = turnedThenMirrored[turns][mirrored]
		}
		p.exifIn = imagemeta.AVIF
		return nil
	}
	return p.readHEVCColours(items.coding(), configuration)
}

// readStreams reads what the decoder will meet: the primary picture and the one that says where it is transparent.
func (p *Picture) readStreams(items *heifItems, data []byte) *fault.Fault {
	s, wrong := items.streamOf(items.primary, data)
	if wrong != nil {
		return wrong
	}
	if item, found := items.alpha(); found {
		alpha, wrong := items.streamOf(item, data)
		if wrong != nil {
			return wrong
		}
		s.coded += alpha.coded
	}
	p.coded = s.coded
	p.decoder, p.memory = s.decoderMemory(p.Format)
	p.memory += p.decoder
	return nil
}

// turnedThenMirrored gives the EXIF number for quarter turns anticlockwise, followed by nothing,
// by top and bottom exchanged, or by left and right exchanged.
var turnedThenMirrored = [4][3]int{{1, 4, 2}, {8, 5, 7}, {3, 2, 4}, {6, 7, 5}}

// readHEVCColours settles how luma and colour difference of a HEIC are meant: the decoder hands
// them out as coded, whatever rule they follow.
func (p *Picture) readHEVCColours(kind string, configuration []byte) *fault.Fault {
	if kind != "hvc1" && kind != "" {
		return fault.New(fault.Photo, "photo.heif-coding", "coding", icc.Printable(kind))
	}
	// Note: a picture made of tiles whose tiles say narrow range and which itself says nothing
	// is full range: phones write such files and fill the full range, and the common decoder
	// reads them so.
	if p.coding == nil && configuration != nil {
		if c, known := hevcColours(configuration); known {
			p.coding = &c
		}
	}
	if p.coding != nil {
		if p.YCC = p.coding.YCC(); p.YCC == nil {
			return fault.New(fault.Photo, "photo.colour-coding")
		}
	}
	return nil
}
