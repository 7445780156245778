package container

import (
	"bytes"

	"huewright/imageio/internal/bigendian"
	"huewright/internal/fault"
)

// readJPEG collects the segments before the picture itself (profile, EXIF, number of colours) and counts its scans.
// Its errors are those of the decoder, which comes later.
//
// Sources: ITU-T T.81, annex B; ICC.1:2022, B.4 (profiles in APP2); CIPA DC-008, 4.7.2.
func readJPEG(data []byte, p *Picture) {
	var profile jpegProfile
	eachSegment(data, func(marker byte, body []byte) {
		switch {
		case marker == startOfScan:
			p.frame.readScan(body)
		case marker == restartEvery:
			p.frame.restarts = true
		case isFrame(marker):
			p.frame.readFrame(marker, body)
			p.Inks = p.Inks || len(body) >= 6 && body[5] == 4
		case p.frame.scans > 0: // what follows the picture is not of it
		case marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) && p.exif == nil:
			p.exif = body[6:]
		case marker == 0xe2 && bytes.HasPrefix(body, []byte("ICC_PROFILE\x00")):
			profile.add(body[12:])
		}
	})
	p.profile = profile.joined(p)
	if hasGainMap(data) {
		p.note(fault.Say("photo.gain-map"))
	}
}

const (
	startOfScan  = 0xda
	endOfImage   = 0xd9
	restartEvery = 0xdd
)

// eachSegment calls f for each marker segment up to the end of the image. It finds what the decoder finds: that passes
// over coded data, and whatever else stands between segments, to the next marker.
func eachSegment(data []byte, f func(marker byte, body []byte)) {
	for at := 2; at+1 < len(data); {
		if data[at] != 0xff {
			next := bytes.IndexByte(data[at:], 0xff)
			if next < 0 {
				return
			}
			at += next
			continue
		}
		switch marker := data[at+1]; {
		case marker == 0xff:
			at++ // padding
		case marker == 0x00, marker == 0x01, marker >= 0xd0 && marker <= 0xd8:
			at += 2 // coded data, or a marker without a length
		case marker == endOfImage:
			return
		default:
			size := int(bigendian.Uint16(data, at+2))
			body := bigendian.Part(data, at+4, size-2)
			if body == nil {
				return
			}
			at += 2 + size
			f(marker, body)
		}
	}
}

// isFrame reports whether a marker starts a frame, SOF0 … SOF15, and so says the size.
func isFrame(marker byte) bool {
	return marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc
}

// jpegProfile gathers a profile cut into numbered segments, in whatever order they come.
type jpegProfile struct {
	parts [256][]byte
	count int // as the first segment says
	found int
}

func (j *jpegProfile) add(body []byte) {
	if len(body) < 2 {
		return
	}
	number, count := body[0], int(body[1])
	if j.found == 0 {
		j.count = count
	}
	if j.parts[number] == nil {
		j.parts[number] = body[2:]
		j.found++
	}
}

func (j *jpegProfile) joined(into *Picture) []byte {
	if j.found == 0 {
		return nil
	}
	var whole []byte
	for number := 1; number <= j.count; number++ {
		if j.parts[number] == nil {
			into.note(fault.Say("photo.profile-part", "part", number, "of", j.count))
			return nil
		}
		whole = append(whole, j.parts[number]...)
	}
	return whole
}
