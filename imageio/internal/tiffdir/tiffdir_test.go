package tiffdir_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/tiffdir"
)

// byteOrder is one of the two of package binary.
type byteOrder interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

// twoPages is a file of two pages. Below the first lies a directory that names the first again, and the second names itself as the next.
func twoPages(order byteOrder, mark string) []byte {
	b := order.AppendUint32(order.AppendUint16([]byte(mark), 42), 8)
	field := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint32(order.AppendUint32(order.AppendUint16(order.AppendUint16(b, tag), kind), count), value)
	}
	b = order.AppendUint16(b, 3) // at 8
	field(256, 4, 1, 640)
	field(258, 3, 3, 98)
	field(tiffdir.SubDirectories, 13, 1, 68)
	b = order.AppendUint32(b, 50)
	b = order.AppendUint16(b, 1) // at 50
	field(257, 9, 1, math.MaxUint32-4)
	b = order.AppendUint32(b, 50)
	b = order.AppendUint16(b, 2) // at 68
	field(tiffdir.SubDirectories, 4, 1, 8)
	field(33434, 5, 1, 104)
	b = order.AppendUint32(b, 0)
	for _, v := range []uint16{8, 8, 16} { // at 98
		b = order.AppendUint16(b, v)
	}
	return order.AppendUint32(order.AppendUint32(b, 1), 4) // at 104
}

func TestPagesAndWhatIsBelow(t *testing.T) {
	for mark, order := range map[string]byteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
		data := twoPages(order, mark)
		all, pages, got := tiffdir.Read(data)
		require.Len(t, all, 3)
		require.Equal(t, 2, pages)
		require.Equal(t, binary.ByteOrder(order), got)
		require.Equal(t, 640, all[0].Whole(256, 0))
		require.Equal(t, []float64{8, 8, 16}, all[0].Numbers(258))
		require.Equal(t, []float64{-5}, all[1].Numbers(257))
		require.Equal(t, 7, all[1].Whole(257, 7), "not negative")
		require.Equal(t, 7, all[1].Whole(256, 7), "not there")
		require.Equal(t, []float64{0.25}, all[2].Numbers(33434))

		all, _, _ = tiffdir.Read(data[:100])
		require.Len(t, all, 3)
		require.Nil(t, all[0].Numbers(258), "cut short")
		all, pages, _ = tiffdir.Read(data[:60])
		require.Len(t, all, 1)
		require.Equal(t, 1, pages)
	}
	all, _, _ := tiffdir.Read([]byte("II*\x00"))
	require.Empty(t, all)
}
