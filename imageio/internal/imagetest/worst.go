package imagetest

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	mathbits "math/bits"
	"testing"

	"github.com/stretchr/testify/require"
)

// The functions below make pictures of one colour that are as small as files, and as large otherwise, as their formats
// let them be.

// BlankJPEG is a progressive JPEG that says as little as can be in each scan: one of the mean of each block, and so many
// of nothing at all. With fine, colour is as fine as luma, else half as fine.
func BlankJPEG(wide, high, scans int, fine bool) []byte {
	across, down := (wide+7)/8, (high+7)/8
	blocks, sampling := 3*across*down, byte(0x11)
	luma := across * down
	if !fine {
		across, down = (wide+15)/16, (high+15)/16
		blocks, sampling, luma = 6*across*down, 0x22, (wide+7)/8*((high+7)/8)
	}
	var b bytes.Buffer
	segment := func(marker byte, body ...byte) {
		b.Write([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)})
		b.Write(body)
	}
	b.Write([]byte{0xff, 0xd8})
	segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...)...)
	segment(0xc2, 8, byte(high>>8), byte(high), byte(wide>>8), byte(wide), 3, 1, sampling, 0, 2, 0x11, 0, 3, 0x11, 0)
	one := append([]byte{1}, make([]byte, 15)...)                // one code, of one bit
	segment(0xc4, append(append([]byte{0x00}, one...), 0)...)    // no change of the mean
	segment(0xc4, append(append([]byte{0x10}, one...), 0xe0)...) // 16384 blocks or more of nothing
	segment(0xda, 3, 1, 0, 2, 0, 3, 0, 0, 0, 0)
	b.Write(make([]byte, (blocks+7)/8))
	for range scans {
		segment(0xda, 1, 1, 0, 1, 63, 0)
		b.Write(make([]byte, 15*(luma/16384+1)/8+1))
	}
	b.Write([]byte{0xff, 0xd9})
	return b.Bytes()
}

// BlankInParts is a JPEG of which parts are decoded when they are asked for, of one block of each component to a unit: grey, or with colour
// as fine as luma. With scans it is progressive, of one scan of the mean of each block and so many of nothing new.
func BlankInParts(wide, high, components, scans int) []byte {
	blocks := (wide + 7) / 8 * ((high + 7) / 8)
	var b bytes.Buffer
	segment := func(marker byte, body ...byte) {
		b.Write([]byte{0xff, marker, byte((len(body) + 2) >> 8), byte(len(body) + 2)})
		b.Write(body)
	}
	frame, scan := []byte{8, byte(high >> 8), byte(high), byte(wide >> 8), byte(wide), byte(components)}, []byte{byte(components)}
	for i := range byte(components) {
		frame, scan = append(frame, i+1, 0x11, 0), append(scan, i+1, 0)
	}
	b.Write([]byte{0xff, 0xd8})
	segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...)...)
	one := append([]byte{1}, make([]byte, 15)...)             // one code, of one bit
	segment(0xc4, append(append([]byte{0x00}, one...), 0)...) // no change of the mean
	if scans == 0 {
		segment(0xc4, append(append([]byte{0x10}, one...), 0)...) // the end of the block
		segment(0xc0, frame...)
		segment(0xda, append(scan, 0, 63, 0)...)
		b.Write(make([]byte, (2*blocks*components+7)/8))
		b.Write([]byte{0xff, 0xd9})
		return b.Bytes()
	}
	segment(0xc4, append(append([]byte{0x10, 0, 0, 0, 15}, make([]byte, 12)...), // 15 codes of four bits: so many blocks of nothing
		0x00, 0x10, 0x20, 0x30, 0x40, 0x50, 0x60, 0x70, 0x80, 0x90, 0xa0, 0xb0, 0xc0, 0xd0, 0xe0)...)
	segment(0xc2, frame...)
	segment(0xda, append(scan, 0, 0, 0)...)
	b.Write(make([]byte, (blocks*components+7)/8))
	var nothing []byte
	bits, n := uint64(0), 0
	for left := blocks; left > 0; {
		k := min(mathbits.Len(uint(left))-1, 14)
		run := min(left, 2<<k-1)
		bits, n = bits<<(4+k)|uint64(k)<<k|uint64(run-1<<k), n+4+k
		for ; n >= 8; n -= 8 {
			if nothing = append(nothing, byte(bits>>(n-8))); nothing[len(nothing)-1] == 0xff {
				nothing = append(nothing, 0)
			}
		}
		left -= run
	}
	nothing = append(nothing, byte(bits<<(8-n)))
	for range scans {
		segment(0xda, 1, 1, 0, 1, 63, 0)
		b.Write(nothing)
	}
	b.Write([]byte{0xff, 0xd9})
	return b.Bytes()
}

// zeros are n bytes of nothing, deflated.
func zeros(t testing.TB, n int) []byte {
	var b bytes.Buffer
	w, err := zlib.NewWriterLevel(&b, zlib.BestSpeed)
	require.NoError(t, err)
	nothing := make([]byte, 1<<20)
	for ; n > 0; n -= len(nothing) {
		_, err := w.Write(nothing[:min(n, len(nothing))])
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

// BlankPNG is a PNG of 16 bits with transparency.
func BlankPNG(t testing.TB, wide, high int) []byte {
	b := bytes.NewBufferString("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, body []byte) {
		_ = binary.Write(b, binary.BigEndian, uint32(len(body)))
		whole := append([]byte(kind), body...)
		b.Write(whole)
		_ = binary.Write(b, binary.BigEndian, crc32.ChecksumIEEE(whole))
	}
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(wide)), uint32(high))
	chunk("IHDR", append(head, 16, 6, 0, 0, 0))
	chunk("IDAT", zeros(t, high*(1+8*wide)))
	chunk("IEND", nil)
	return b.Bytes()
}

// BlankTIFF is a deflated TIFF of 16 bits in strips of so many rows.
func BlankTIFF(t testing.TB, wide, high, rows int) []byte {
	strips := (high + rows - 1) / rows
	strip := zeros(t, 6*wide*rows)
	const fields = 10
	offsets, data := []uint32(nil), uint32(8+2+12*fields+4+6+8*strips)
	var tail []byte
	tail = append(tail, 16, 0, 16, 0, 16, 0)
	for range strips { // all of them are the same
		offsets = append(offsets, data)
		tail = binary.LittleEndian.AppendUint32(tail, data)
	}
	for range strips {
		tail = binary.LittleEndian.AppendUint32(tail, uint32(len(strip)))
	}
	out := append([]byte("II*\x00\x08\x00\x00\x00"), fields, 0)
	at := uint32(8 + 2 + 12*fields + 4)
	field := func(tag, kind uint16, count int, value uint32) {
		out = binary.LittleEndian.AppendUint16(out, tag)
		out = binary.LittleEndian.AppendUint16(out, kind)
		out = binary.LittleEndian.AppendUint32(out, uint32(count))
		out = binary.LittleEndian.AppendUint32(out, value)
	}
	offset, length := at+6, at+6+uint32(4*strips)
	if strips == 1 {
		offset, length = offsets[0], uint32(len(strip))
	}
	const short, long = 3, 4
	field(256, long, 1, uint32(wide))
	field(257, long, 1, uint32(high))
	field(258, short, 3, at)
	field(259, short, 1, 8)
	field(262, short, 1, 2)
	field(273, long, strips, offset)
	field(277, short, 1, 3)
	field(278, long, 1, uint32(rows))
	field(279, long, strips, length)
	field(284, short, 1, 1)
	out = append(out, 0, 0, 0, 0)
	return append(append(out, tail...), strip...)
}

// BlankWebP is a lossless WebP of one colour.
func BlankWebP(wide, high int) []byte {
	data := []byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00")
	size := binary.LittleEndian.Uint32(data[21:])&^(1<<28-1) | uint32(wide-1) | uint32(high-1)<<14
	binary.LittleEndian.PutUint32(data[21:], size)
	return data
}
