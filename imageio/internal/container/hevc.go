package container

import (
	"bytes"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/icc"
)

// hevcColours reads from a decoder configuration (hvcC) how the coded pictures' luma and
// colour difference are meant. The second result is false when it cannot be told.
//
// It matters: what a picture does not say is narrow range by the standard, and read as full
// range it comes out pale, with nothing to show for it.
//
// Sources: ISO/IEC 14496-15, 8.3.3.1 (hvcC); ITU-T H.265 (08/2021), 7.3.2.2 and E.2.1.
func hevcColours(hvcC []byte) (c icc.Coding, known bool) {
	for _, unit := range parameterSets(hvcC) {
		if len(unit) > 2 && unit[0]>>1&0x3f == 33 { // a sequence parameter set
			r := &bitReader{data: bytes.ReplaceAll(unit[2:], []byte{0, 0, 3}, []byte{0, 0})}
			c = readSequenceColours(r)
			return c, !r.failed
		}
	}
	return c, false
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

// readSequenceColours goes through a sequence parameter set as far as the part that tells of
// colours. Names in comments are those of the standard.
func readSequenceColours(r *bitReader) icc.Coding {
	r.bits(4)
	subLayers := r.bits(3) // sps_max_sub_layers_minus1
	r.bits(1)
	r.profileTierLevel(subLayers)
	r.golomb()
	if r.golomb() == 3 { // chroma_format_idc
		r.bits(1)
	}
	r.golombs(2)
	if r.flag() { // conformance_window_flag
		r.golombs(4)
	}
	r.golombs(3) // bit depths, log2_max_pic_order_cnt_lsb_minus4
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
	c := icc.Coding{Primaries: icc.Unspecified, Curve: icc.Unspecified, Matrix: icc.Unspecified}
	if !r.flag() { // vui_parameters_present_flag
		return c
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
	return c
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
