package container

import (
	"huewright/imageio/internal/bigendian"
	"huewright/internal/fault"
)

// A stream is what the decoder of a HEIC or AVIF will meet, by the coded pictures' own words.
type stream struct {
	canvas     int64 // pixels of the largest picture that is put together
	coded      int64 // pixels of all that are decoded for it, each as often as it is used
	deep, full bool  // any of them
	items      int
	read       int                       // bytes of the items that were looked at
	known      map[uint32][]codedPicture // of items that were looked at
}

// mostItems of a picture are looked at. A picture of 64 megapixels in tiles of 512 × 512 has 250.
const mostItems = 5000

// mostRead is how many times the length of the file the items of a picture may have together. They are parts of it, and seldom
// shared; a file whose items are all of it would be read as often as it has items.
const mostRead = 2

// streamOf reads what a picture is made of, and refuses one whose stream is larger than its file says: the room for it
// would be taken before anybody noticed.
func (h *heifItems) streamOf(item uint32, file []byte) (s stream, wrong *fault.Fault) {
	s.known = map[uint32][]codedPicture{}
	wrong = h.follow(item, file, &s, 0)
	return s, wrong
}

// slack is by how many pixels a coded picture may exceed what its file says: streams are coded in blocks of up to 128
// pixels, whose surplus is cut off.
const slack = 128

func (h *heifItems) follow(item uint32, file []byte, s *stream, depth int) *fault.Fault {
	const deepest = 8
	if s.items++; s.items > mostItems || depth > deepest {
		return fault.New(fault.Photo, "photo.undecodable", "format", "HEIF")
	}
	if _, known := s.known[item]; !known {
		_, length := h.partsOf(item, file)
		if s.read += length; s.read > mostRead*len(file) {
			return fault.New(fault.Photo, "photo.undecodable", "format", "HEIF")
		}
		claimed, real := h.sizesOf(item, file)
		s.known[item] = real
		for _, r := range real {
			if claimed.wide > 0 && (r.wide > claimed.wide+slack || r.high > claimed.high+slack) {
				return fault.New(fault.Photo, "photo.false-size", "wide", claimed.wide, "high", claimed.high,
					"really-wide", r.wide, "really-high", r.high)
			}
		}
	}
	largest := int64(0)
	for _, r := range s.known[item] {
		largest = max(largest, r.pixels())
		s.deep, s.full = s.deep || r.deep, s.full || r.full
	}
	s.canvas = max(s.canvas, largest)
	if len(h.parts[item]) == 0 {
		s.coded += largest
	}
	for _, part := range h.parts[item] {
		if wrong := h.follow(part, file, s, depth+1); wrong != nil {
			return wrong
		}
	}
	return nil
}

// sizesOf are the size that the file gives for an item, and those that its stream has: what the file gives where the
// stream cannot be read.
func (h *heifItems) sizesOf(item uint32, file []byte) (claimed codedPicture, real []codedPicture) {
	var configuration []byte
	for _, property := range h.propertiesOf(item) {
		switch body := property.body; {
		case property.kind == "ispe" && len(body) >= 12:
			claimed.wide, claimed.high = int(bigendian.Uint32(body, 4)), int(bigendian.Uint32(body, 8))
		case property.kind == "hvcC", property.kind == "av1C":
			configuration = body
		}
	}
	switch data := h.dataOf(item, file); h.kinds[item] {
	case "hvc1":
		real = hevcPictures(configuration, data)
	case "av01":
		real = av1Pictures(configuration, data)
	case "grid", "iovl":
		real = canvasOf(h.kinds[item], data)
	}
	if len(real) == 0 {
		real = []codedPicture{claimed}
	}
	return claimed, real
}

// canvasOf is the size of a picture made of others, as its data say.
//
// Source: ISO/IEC 23008-12, 6.6.2.
func canvasOf(kind string, data []byte) []codedPicture {
	at := 2 // version and flags
	if kind == "grid" {
		at += 2 // rows and columns
	} else {
		at += 8 // the colour between the pictures
	}
	size := 2
	if len(data) > 1 && data[1]&1 != 0 {
		size = 4
	}
	if at+2*size > len(data) {
		return nil
	}
	return []codedPicture{{wide: int(bigendian.Uint(data, at, size)), high: int(bigendian.Uint(data, at+size, size))}}
}

// What the decoders take, in bytes of memory a pixel, the copy of the picture not included. Measured on pictures of 6 to
// 48 megapixels.
const (
	bytesOfHEVC, bytesOfFineHEVC = 8, 13 // colour at half the resolution of luma, and at all of it
	bytesOfAV1, bytesOfDeepAV1   = 22, 36
)

// decoderMemory is what the decoder takes for the stream, and the picture that it makes, bytes.
func (s stream) decoderMemory(format Format) (decoder, picture int64) {
	pixels := max(s.canvas, s.coded)
	each, copied := int64(bytesOfHEVC), int64(2)
	switch {
	case format == formatAVIF && s.deep:
		each, copied = bytesOfDeepAV1, 8
	case format == formatAVIF:
		each, copied = bytesOfAV1, 4
	case s.full:
		each, copied = bytesOfFineHEVC, 3
	}
	if format == formatHEIC && s.deep {
		each = each * 3 / 2
	}
	const alone = 8 << 20 // without any picture
	return alone + each*pixels, copied * pixels
}
