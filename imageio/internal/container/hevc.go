package container

import (
	"bytes"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
)

// A coded picture is what a stream itself says of the pictures in it, whatever the file round it says.
type codedPicture struct {
	wide, high int  // as coded, before its edges are cut off
	deep       bool // more than 8 bits
	full       bool // colour as fine as luma
}

// pixels is how many there are; a number that no memory holds where there are absurdly many.
func (c codedPicture) pixels() int64 {
	const absurd = 1 << 24
	return int64(min(c.wide, absurd)) * int64(min(c.high, absurd))
}

// hevcColours reads from a decoder configuration (hvcC) how the coded pictures' luma and
// colour difference are meant. The second result is false when it cannot be told.
//
// It matters: what a picture does not say is narrow range by the standard, and read as full
// range it comes out pale, with nothing to show for it.
//
// Sources: ISO/IEC 14496-15, 8.3.3.1 (hvcC); ITU-T H.265 (08/2021), 7.3.2.2 and E.2.1.
func hevcColours(hvcC []byte) (c icc.Coding, known bool) {
	for _, unit := range parameterSets(hvcC) {
		if isHEVCSequence(unit) {
			_, c, known = readHEVCSequence(unit)
			return c, known
		}
	}
	return c, false
}

// isHEVCSequence reports a unit that is a sequence parameter set, 7.4.2.2.
func isHEVCSequence(unit []byte) bool { return len(unit) > 2 && unit[0]>>1&0x3f == 33 }

// readHEVCSequence reads a sequence parameter set: the pictures' size, all of it zero where even that cannot be read,
// and their colours, known where the set could be read as far as these.
//
// Source: ITU-T H.265 (08/2021), 7.3.2.2.
func readHEVCSequence(unit []byte) (codedPicture, icc.Coding, bool) {
	r := &bitReader{data: bytes.ReplaceAll(unit[2:], []byte{0, 0, 3}, []byte{0, 0})}
	picture, colours := readSequence(r)
	return picture, colours, !r.failed
}

// hevcPictures lists what the sequence parameter sets say of the pictures of an item: those in its configuration, and
// those among its data, each after its length in four bytes.
func hevcPictures(hvcC, data []byte) (all []codedPicture) {
	take := func(unit []byte) {
		if isHEVCSequence(unit) {
			if picture, _, _ := readHEVCSequence(unit); picture.wide > 0 {
				all = append(all, picture)
			}
		}
	}
	for _, unit := range parameterSets(hvcC) {
		take(unit)
	}
	for len(data) > 4 {
		unit := bigendian.Part(data, 4, int(bigendian.Uint32(data, 0)))
		if unit == nil {
			break
		}
		take(unit)
		data = data[4+len(unit):]
	}
	return all
}

func parameterSets(hvcC []byte) [][]byte {
	if len(hvcC) < 23 {
		return nil
	}
	var units [][]byte
	at := 23
	for range hvcC[22] {
		count := bigendian.Uint16(hvcC, at+1)
		at += 3
		for range count {
			size := int(bigendian.Uint16(hvcC, at))
			unit := bigendian.Part(hvcC, at+2, size)
			if unit == nil {
				return units
			}
			units = append(units, unit)
			at += 2 + size
		}
	}
	return units
}

// readSequence goes through a sequence parameter set as far as the part that tells of colours. Names in comments are
// those of the standard.
func readSequence(r *bitReader) (picture codedPicture, c icc.Coding) {
	r.bits(4)
	subLayers := r.bits(3) // sps_max_sub_layers_minus1
	r.bits(1)
	r.profileTierLevel(subLayers)
	r.golomb()
	chroma := r.golomb() // chroma_format_idc
	if chroma == 3 {
		r.bits(1)
	}
	wide, high := r.golomb(), r.golomb() // pic_width_in_luma_samples, pic_height_in_luma_samples
	if r.flag() {                        // conformance_window_flag
		r.golombs(4)
	}
	depths := r.golomb() + r.golomb() // bit_depth_luma_minus8, bit_depth_chroma_minus8
	if !r.failed {
		picture = codedPicture{wide: wide, high: high, deep: depths > 0, full: chroma > 1}
	}
	r.golomb() // log2_max_pic_order_cnt_lsb_minus4
	if r.flag() {
		r.golombs(3 * (subLayers + 1))
	} else {
		r.golombs(3)
	}
	r.golombs(6)
	if scaled := r.flag(); scaled && r.flag() { // sps_scaling_list_data_present_flag
		r.scalingLists()
	}
	r.bits(2)
	if r.flag() { // pcm_enabled_flag
		r.bits(8)
		r.golombs(2)
		r.bits(1)
	}
	r.referenceSets()
	if r.flag() { // long_term_ref_pics_present_flag: none in a still picture
		r.failed = true
	}
	r.bits(2)
	c = icc.Coding{Primaries: icc.Unspecified, Curve: icc.Unspecified, Matrix: icc.Unspecified}
	if !r.flag() { // vui_parameters_present_flag
		return picture, c
	}
	if r.flag() && r.bits(8) == 255 { // aspect_ratio_idc
		r.bits(32)
	}
	if r.flag() {
		r.bits(1)
	}
	if r.flag() { // video_signal_type_present_flag
		r.bits(3)
		c.Full = r.flag()
		if r.flag() { // colour_description_present_flag
			c.Primaries, c.Curve, c.Matrix = r.bits(8), r.bits(8), r.bits(8)
		}
	}
	return picture, c
}

// bitReader reads the bits of a parameter set. Beyond the end it reads zeros and fails.
type bitReader struct {
	data   []byte
	at     int
	failed bool
}

func (r *bitReader) bits(n int) int {
	v := 0
	for range n {
		bit := 0
		if r.at/8 < len(r.data) {
			bit = int(r.data[r.at/8]>>(7-r.at%8)) & 1
		} else {
			r.failed = true
		}
		v = v<<1 | bit
		r.at++
	}
	return v
}

func (r *bitReader) flag() bool { return r.bits(1) == 1 }

// golomb reads an unsigned Exp-Golomb number, 9.2.
func (r *bitReader) golomb() int {
	zeros := 0
	for !r.failed && r.bits(1) == 0 {
		zeros++
	}
	if zeros > 31 {
		r.failed = true
	}
	if r.failed {
		return 0
	}
	return 1<<zeros - 1 + r.bits(zeros)
}

func (r *bitReader) golombs(n int) {
	for range n {
		r.golomb()
	}
}

// profileTierLevel passes over 7.3.3.
func (r *bitReader) profileTierLevel(subLayers int) {
	r.bits(96)
	if subLayers == 0 {
		return
	}
	length := 0
	for range 8 { // flags of every sub-layer, filled up to 8
		if r.flag() {
			length += 88
		}
		if r.flag() {
			length += 8
		}
	}
	r.bits(length)
}

// scalingLists passes over 7.3.4.
func (r *bitReader) scalingLists() {
	for size := range 4 {
		step := 1
		if size == 3 {
			step = 3
		}
		for matrix := 0; matrix < 6; matrix += step {
			if !r.flag() {
				r.golomb()
				continue
			}
			if size > 1 {
				r.golomb()
			}
			r.golombs(min(64, 1<<(4+size<<1)))
		}
	}
}

// referenceSets passes over num_short_term_ref_pic_sets and the sets, 7.3.7. A set that is
// told by another has no place in a still picture and fails.
func (r *bitReader) referenceSets() {
	for i := range min(r.golomb(), 64) {
		if i > 0 && r.flag() {
			r.failed = true
		}
		for range min(r.golomb()+r.golomb(), 32) {
			r.golomb()
			r.bits(1)
		}
		if r.failed {
			return
		}
	}
}
