package container

import (
	"bytes"
	"errors"
	"slices"

	"huewright/imageio/internal/bigendian"
)

// heifItems is what the meta box says about the pictures in a file.
type heifItems struct {
	primary     uint32
	kinds       map[uint32]string   // coding of each item
	shared      []box               // properties, numbered from 1
	indices     map[uint32][]int    // of the properties of each item
	auxiliaries []uint32            // items that say something about the primary one: alpha, depth
	parts       map[uint32][]uint32 // items that another is made of: the tiles of a grid
	places      map[uint32][]place  // where the data of each item are
	inside      []byte              // the data that the meta box itself holds
}

// A place is a part of an item's data.
type place struct {
	inside        bool // the meta box, not the file
	start, length int
}

// metaBoxes lists the boxes in the one that describes the pictures of a file.
func metaBoxes(data []byte) (list []box, found bool) {
	meta := find(boxes(data), "meta")
	if len(meta) < 4 {
		return nil, false
	}
	return boxes(meta[4:]), true
}

func readItems(data []byte) (*heifItems, error) {
	list, found := metaBoxes(data)
	if !found {
		return nil, errors.New("it lists no picture")
	}
	items := &heifItems{
		kinds: map[uint32]string{}, indices: map[uint32][]int{}, parts: map[uint32][]uint32{}, places: map[uint32][]place{},
		inside: find(list, "idat"),
	}
	pitm := find(list, "pitm")
	if len(pitm) < 6 {
		return nil, errors.New("it does not say which picture is meant")
	}
	items.primary = uint32(bigendian.Uint16(pitm, 4))
	if pitm[0] != 0 {
		items.primary = bigendian.Uint32(pitm, 4)
	}
	items.readKinds(find(list, "iinf"))
	items.readReferences(find(list, "iref"))
	items.readPlaces(find(list, "iloc"))
	properties := boxes(find(list, "iprp"))
	items.shared = boxes(find(properties, "ipco"))
	for _, b := range properties {
		if b.kind == "ipma" {
			items.readAssociations(b.body)
		}
	}
	return items, nil
}

// entriesOf are the boxes in the one that lists the items.
func entriesOf(iinf []byte) []box {
	if len(iinf) < 8 {
		return nil
	}
	head := 6
	if iinf[0] != 0 {
		head = 8
	}
	return boxes(iinf[head:])
}

func (h *heifItems) readKinds(iinf []byte) {
	for _, b := range entriesOf(iinf) {
		switch {
		case b.kind != "infe" || len(b.body) < 12:
		case b.body[0] == 2:
			h.kinds[uint32(bigendian.Uint16(b.body, 4))] = string(b.body[8:12])
		case b.body[0] == 3 && len(b.body) >= 14:
			h.kinds[bigendian.Uint32(b.body, 4)] = string(b.body[10:14])
		}
	}
}

func (h *heifItems) readAssociations(ipma []byte) {
	if len(ipma) < 8 {
		return
	}
	itemSize, indexSize := 2, 1
	if ipma[0] > 0 {
		itemSize = 4
	}
	if ipma[3]&1 != 0 {
		indexSize = 2
	}
	at := 8
	next := func(size int) uint32 {
		at += size
		return bigendian.Uint(ipma, at-size, size)
	}
	for range bigendian.Uint32(ipma, 4) {
		if at >= len(ipma) {
			return
		}
		item := next(itemSize)
		for range next(1) {
			index := next(indexSize) &^ (0x80 << (8 * (indexSize - 1))) // the top bit says whether it is essential
			h.indices[item] = append(h.indices[item], int(index))
		}
	}
}

// readReferences finds the auxiliary pictures of the primary one, and what others are made of.
func (h *heifItems) readReferences(iref []byte) {
	if len(iref) < 4 {
		return
	}
	size := 2
	if iref[0] != 0 {
		size = 4
	}
	for _, b := range boxes(iref[4:]) {
		from := bigendian.Uint(b.body, 0, size)
		for at := size + 2; at+size <= len(b.body); at += size {
			switch to := bigendian.Uint(b.body, at, size); {
			case b.kind == "auxl" && to == h.primary:
				h.auxiliaries = append(h.auxiliaries, from)
			case b.kind == "dimg":
				h.parts[from] = append(h.parts[from], to)
			}
		}
	}
}

// readPlaces reads where the data of items are.
//
// Source: ISO/IEC 14496-12, 8.11.3.
func (h *heifItems) readPlaces(iloc []byte) {
	if len(iloc) < 8 {
		return
	}
	version := iloc[0]
	offsetSize, lengthSize, baseSize, indexSize := int(iloc[4]>>4), int(iloc[4]&15), int(iloc[5]>>4), int(iloc[5]&15)
	idSize, at := 2, 6
	if version == 2 {
		idSize = 4
	}
	next := func(size int) (v int) {
		if size > 4 { // no file is so long that the upper half says anything
			at += size - 4
			size = 4
		}
		v, at = int(bigendian.Uint(iloc, at, size)), at+size
		return v
	}
	for range next(idSize) {
		item, inside := uint32(next(idSize)), false
		if version > 0 {
			inside = next(2)&15 == 1
		}
		next(2)
		base := next(baseSize)
		for range next(2) {
			before := at
			if version > 0 {
				next(indexSize)
			}
			start, length := base+next(offsetSize), next(lengthSize)
			if at > len(iloc) {
				return
			}
			h.places[item] = append(h.places[item], place{inside, start, length})
			if at == before { // numbers of no bytes: all that follow are the same
				break
			}
		}
		if at >= len(iloc) {
			return
		}
	}
}

// partsOf are the parts of an item's data in a file, as far as they are there, and how long they are together.
func (h *heifItems) partsOf(item uint32, file []byte) (parts [][]byte, length int) {
	for _, p := range h.places[item] {
		from := file
		if p.inside {
			from = h.inside
		}
		if p.start > len(from) {
			break
		}
		part := from[p.start:]
		if p.length > 0 && p.length < len(part) { // no length is all of the file
			part = part[:p.length]
		}
		parts, length = append(parts, part), length+len(part)
	}
	return parts, length
}

// dataOf is the data of an item in a file, as far as they are there.
func (h *heifItems) dataOf(item uint32, file []byte) []byte {
	parts, _ := h.partsOf(item, file)
	if len(parts) == 1 {
		return parts[0]
	}
	return slices.Concat(parts...)
}

// alpha is the item that says where the primary picture is transparent.
//
// Sources: ISO/IEC 23008-12, annex B.5.2 (the first name); ISO/IEC 23091-2.
func (h *heifItems) alpha() (item uint32, found bool) {
	for _, item := range h.auxiliaries {
		for _, property := range h.propertiesOf(item) {
			hevc, mpeg := []byte("urn:mpeg:hevc:2015:auxid:1"), []byte(":auxiliary:alpha")
			if property.kind == "auxC" && (bytes.Contains(property.body, hevc) || bytes.Contains(property.body, mpeg)) {
				return item, true
			}
		}
	}
	return 0, false
}

// properties lists those of the primary picture.
func (h *heifItems) properties() []box { return h.propertiesOf(h.primary) }

func (h *heifItems) propertiesOf(item uint32) []box {
	var out []box
	for _, i := range h.indices[item] {
		if i >= 1 && i <= len(h.shared) {
			out = append(out, h.shared[i-1])
		}
	}
	return out
}

// coding is how the primary picture is compressed; of one made of tiles, how the tiles are.
func (h *heifItems) coding() string {
	kind := h.kinds[h.primary]
	if kind != "grid" && kind != "iden" && kind != "iovl" {
		return kind
	}
	for _, tile := range []string{"hvc1", "av01"} {
		for _, k := range h.kinds {
			if k == tile {
				return tile
			}
		}
	}
	return ""
}
