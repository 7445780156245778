package container

import (
	"bytes"
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
)

// placesOf is an iloc box of version 0: items of so many extents each, all of the file, in numbers of size bytes.
func placesOf(items, size, extents int) []byte {
	iloc := []byte{0, 0, 0, 0, byte(size<<4 | size), 0}
	iloc = binary.BigEndian.AppendUint16(iloc, uint16(items))
	for i := range items {
		for _, v := range []int{i + 1, 0, extents} { // item, where its data are kept, extents
			iloc = binary.BigEndian.AppendUint16(iloc, uint16(v))
		}
		iloc = append(iloc, make([]byte, 2*size*extents)...) // from the start, and no length is all
	}
	return iloc
}

// A kilobyte that says that its items lie in millions of places takes no memory for them.
func TestPlacesWithoutSizeAreBounded(t *testing.T) {
	before := imagetest.Allocated()
	items := &heifItems{places: map[uint32][]place{}}
	items.readPlaces(placesOf(150, 0, 65535))
	require.Len(t, items.places, 150)
	require.Less(t, imagetest.Allocated()-before, uint64(1<<20))
}

// Items whose data are the whole file many times over are refused before anything is copied.
func TestDataOfAFileManyTimesOver(t *testing.T) {
	file := bytes.Repeat([]byte{1}, 1<<20)
	for name, iloc := range map[string][]byte{"one item": placesOf(1, 4, 500), "many items": placesOf(500, 4, 1)} {
		items := &heifItems{places: map[uint32][]place{}, kinds: map[uint32]string{}, parts: map[uint32][]uint32{}}
		items.readPlaces(iloc)
		for item := range items.places {
			items.kinds[item] = "hvc1"
			if item != 1 {
				items.parts[1] = append(items.parts[1], item)
			}
		}
		before := imagetest.Allocated()
		_, wrong := items.streamOf(1, file)
		imagetest.RequireFault(t, wrong, "photo.undecodable", name)
		require.Less(t, imagetest.Allocated()-before, uint64(8<<20), name)
	}
}

// A long run of empty units in an item's data takes no memory for each.
func TestEmptyUnitsAreBounded(t *testing.T) {
	data := make([]byte, 8<<20)
	before := imagetest.Allocated()
	require.Empty(t, hevcPictures(nil, data))
	require.Less(t, imagetest.Allocated()-before, uint64(1<<20))
}
