package container

import (
	"bytes"
	"encoding/binary"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// readWebP collects the chunks beside the picture.
//
// Source: RFC 9649 (WebP), 2.
func readWebP(data []byte, p *Picture) *fault.Fault {
	p.YCC = icc.VP8Rule
	for at := 12; at+8 <= len(data); {
		size := int(binary.LittleEndian.Uint32(data[at+4:]))
		body := bigendian.Part(data, at+8, size)
		if body == nil {
			break
		}
		switch string(data[at : at+4]) {
		case "ICCP":
			p.profile = body
		case "EXIF":
			p.exif = bytes.TrimPrefix(body, []byte("Exif\x00\x00"))
		case "ANIM":
			return fault.New(fault.Photo, "photo.animation")
		}
		at += 8 + size + size&1
	}
	return nil
}
