package container

import (
	"encoding/binary"

	"huewright/imageio/internal/bigendian"
)

// box is one part of an ISO base media file.
type box struct {
	kind string
	body []byte
}

// boxes splits data into its boxes, as far as they are whole.
func boxes(data []byte) []box {
	var out []box
	for len(data) >= 8 {
		size, head := uint64(bigendian.Uint32(data, 0)), 8
		switch size {
		case 0:
			size = uint64(len(data)) // to the end
		case 1:
			if len(data) < 16 {
				return out
			}
			size, head = binary.BigEndian.Uint64(data[8:]), 16
		}
		if size < uint64(head) || size > uint64(len(data)) {
			return out
		}
		out = append(out, box{string(data[4:8]), data[head:size]})
		data = data[size:]
	}
	return out
}

func find(list []box, kind string) []byte {
	for _, b := range list {
		if b.kind == kind {
			return b.body
		}
	}
	return nil
}
