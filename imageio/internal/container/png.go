package container

import (
	"bytes"
	"compress/zlib"
	"encoding/hex"
	"io"
	"math"
	"strings"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// maxInflated bounds what we unpack from a compressed part of a file. Profiles of cameras and
// screens are below 10 kB, those of printers below 4 MB.
const maxInflated = 8 << 20

// readPNG collects the chunks that say what the colours mean and what the camera noted.
//
// Source: PNG, third edition (W3C 2025), 11.3 and 12.
func readPNG(data []byte, p *Picture) {
	var gamma uint32
	named := false // the file says what its colours are
	for at := 8; at+12 <= len(data); {
		size := int(bigendian.Uint32(data, at))
		body := bigendian.Part(data, at+8, size)
		if body == nil {
			break
		}
		switch string(data[at+4 : at+8]) {
		case "iCCP":
			if p.profile = pngProfile(body); p.profile == nil {
				p.note(fault.Say("photo.profile-damaged"))
			}
			named = true
		case "cICP":
			if len(body) == 4 {
				p.coding = &icc.Coding{Primaries: int(body[0]), Curve: int(body[1])}
				named = true
			}
		case "sRGB":
			named = true
		case "gAMA":
			gamma = bigendian.Uint32(body, 0)
		case "eXIf":
			p.exif = body
		case "tEXt", "zTXt":
			if block := rawProfileEXIF(body, data[at+4] == 'z'); block != nil && p.exif == nil {
				p.exif = block
			}
		}
		at += 12 + size
	}
	const screen = 45455 // the nearest there is to the curve of sRGB
	if gamma != 0 && !named && math.Abs(float64(gamma)-screen) > 500 {
		p.note(fault.Say("photo.gamma", "gamma", 100000/float64(gamma)))
	}
}

// pngProfile unpacks an iCCP chunk: a name, a zero, the method 0, the deflated profile.
func pngProfile(body []byte) []byte {
	_, packed, found := bytes.Cut(body, []byte{0})
	if !found || len(packed) < 1 || packed[0] != 0 {
		return nil
	}
	return inflate(packed[1:])
}

func inflate(packed []byte) []byte {
	r, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil
	}
	data, err := io.ReadAll(io.LimitReader(r, maxInflated+1))
	if err != nil || len(data) > maxInflated {
		return nil
	}
	return data
}

// rawProfileEXIF reads EXIF that older programs put into PNG as text: a keyword, then lines of
// a name, a length and hexadecimal digits, deflated or not. There is no standard for it; the
// keyword and form are those that common open tools write and read.
func rawProfileEXIF(body []byte, deflated bool) []byte {
	keyword, content, found := bytes.Cut(body, []byte{0})
	name := string(keyword)
	if !found || name != "Raw profile type exif" && name != "Raw profile type APP1" {
		return nil
	}
	if deflated {
		if len(content) < 1 || content[0] != 0 {
			return nil
		}
		content = inflate(content[1:])
	}
	fields := strings.Fields(string(content))
	if len(fields) < 3 {
		return nil
	}
	block, err := hex.DecodeString(strings.Join(fields[2:], ""))
	if err != nil {
		return nil
	}
	return bytes.TrimPrefix(block, []byte("Exif\x00\x00"))
}
