package jpeg

import "bytes"

// coded is the data of the scans without the bytes that keep them apart from markers, and without these.
type coded struct {
	over     bool     // the file's own memory holds it
	data     []byte   // of one scan after another, and slack bytes of zeros
	bits     int      // up to the end of the last scan that was taken
	restarts []uint32 // where each part after a restart begins, bytes
}

// slack is more than the longest block can take: 64 codes of 16 bits with 16 more each.
const slack = 272

// take appends the data of a scan that begin at a place, and returns where the marker stands that ends them; then close is to be called.
// Between them stand restarts after each so many units of all, 0 for none.
//
// Source: ITU-T T.81, B.1.1.5 and F.1.2.3.
func (c *coded) take(file []byte, begin, restart, units int) (end int, err error) {
	switch {
	case c.data != nil:
	case c.over:
		c.data = file[begin:begin:cap(file)] // it is never longer than what has been read
	default:
		c.data = make([]byte, 0, len(file)-begin+slack)
	}
	if restart > 0 {
		c.restarts = make([]uint32, 0, (units-1)/restart)
	}
	c.data = c.data[:c.bits/8]
	for at := begin; ; {
		n := bytes.IndexByte(file[at:], 0xff)
		if n < 0 || at+n+1 >= len(file) {
			return 0, ErrOther
		}
		c.data = append(c.data, file[at:at+n]...)
		at += n
		switch marker := file[at+1]; {
		case marker == 0:
			c.data = append(c.data, 0xff)
		case marker >= firstRestart && marker <= lastRestart:
			if len(c.restarts) == cap(c.restarts) || int(marker-firstRestart) != len(c.restarts)%8 {
				return 0, ErrOther
			}
			c.restarts = append(c.restarts, uint32(len(c.data)))
		default:
			if c.bits = 8 * len(c.data); int64(c.bits) > 1<<32-1-8*slack {
				return 0, ErrOther
			}
			return at, nil
		}
		at += 2
	}
}

// close ends the data of a scan.
func (c *coded) close() { c.data = append(c.data, make([]byte, slack)...) }

// ended reports whether nothing follows the data but notes that do not bear on colours, and the end of the picture.
func ended(file []byte, at int) bool {
	for {
		if at+1 < len(file) && file[at] == 0xff && file[at+1] == endOfImage {
			return true
		}
		marker, body, next := segment(file, at)
		if body == nil || marker == firstApp || marker == adobeApp || !(marker > firstApp && marker <= lastApp || marker == comment) {
			return false
		}
		at = next
	}
}
