package container

// av1Pictures lists what the sequence headers say of the pictures of an item: those in its configuration (av1C), and
// those among its data.
//
// Sources: AV1 Bitstream & Decoding Process Specification, 5.3 (units) and 5.5 (sequence header); AV1 Codec ISO
// Media File Format Binding 1.2, 2.3 (av1C).
func av1Pictures(av1C, data []byte) (all []codedPicture) {
	if len(av1C) > 4 {
		all = av1Sequences(av1C[4:])
	}
	return append(all, av1Sequences(data)...)
}

// av1Sequences goes through open bitstream units for sequence headers.
func av1Sequences(data []byte) (all []codedPicture) {
	const sequenceHeader = 1
	for len(data) > 0 {
		head := data[0]
		data = data[1:]
		if head&4 != 0 && len(data) > 0 { // an extension
			data = data[1:]
		}
		size := len(data)
		if head&2 != 0 {
			given, n := leb128(data)
			if n == 0 || given > uint64(len(data)-n) {
				return all
			}
			data, size = data[n:], int(given)
		}
		if head>>3&15 == sequenceHeader {
			if picture := readAV1Sequence(data[:size]); picture.wide > 0 {
				all = append(all, picture)
			}
		}
		data = data[size:]
	}
	return all
}

// leb128 reads a number of n bytes, 4.10.5; none where there is no whole one.
func leb128(data []byte) (v uint64, n int) {
	for i := 0; i < min(len(data), 8); i++ {
		v |= uint64(data[i]&0x7f) << (7 * i)
		if data[i] < 0x80 {
			return v, i + 1
		}
	}
	return 0, 0
}

// readAV1Sequence reads a sequence header as far as the colours; all of the picture is zero where it ends before its
// size. Names in comments are those of the specification.
func readAV1Sequence(data []byte) (picture codedPicture) {
	r := &bitReader{data: data}
	profile := r.bits(3)
	r.bits(1)
	reduced := r.flag() // reduced_still_picture_header
	if reduced {
		r.bits(5)
	} else {
		r.operatingPoints()
	}
	wideBits, highBits := r.bits(4)+1, r.bits(4)+1
	picture.wide, picture.high = r.bits(wideBits)+1, r.bits(highBits)+1 // max_frame_width_minus_1, max_frame_height_minus_1
	if r.failed {
		return codedPicture{}
	}
	if !reduced && r.flag() { // frame_id_numbers_present_flag
		r.bits(4 + 3)
	}
	r.bits(3)
	if !reduced {
		r.interTools()
	}
	r.bits(3)
	picture.deep = r.flag() // high_bitdepth
	twelve := profile == 2 && picture.deep && r.flag()
	mono := profile != 1 && r.flag()
	identity := false
	if r.flag() { // color_description_present_flag
		identity = r.bits(24) == 1<<16|13<<8 // BT.709 primaries, the curve of sRGB, RGB itself
	}
	switch {
	case mono:
	case identity, profile == 1:
		picture.full = true
	case profile == 2 && twelve:
		r.bits(1)
		picture.full = r.bits(2) != 3 // subsampling_x, and subsampling_y where that is 1
	case profile == 2:
		picture.full = true // 4:2:2
	}
	return picture
}

// operatingPoints passes over timing and operating points.
func (r *bitReader) operatingPoints() {
	model, delayBits := false, 0
	if r.flag() { // timing_info_present_flag
		r.bits(64)
		if r.flag() { // equal_picture_interval
			r.golomb()
		}
		if model = r.flag(); model { // decoder_model_info_present_flag
			delayBits = r.bits(5) + 1
			r.bits(32 + 5 + 5)
		}
	}
	delays := r.flag() // initial_display_delay_present_flag
	for range r.bits(5) + 1 {
		r.bits(12)
		if r.bits(5) > 7 { // seq_level_idx
			r.bits(1)
		}
		if model && r.flag() {
			r.bits(2*delayBits + 1)
		}
		if delays && r.flag() {
			r.bits(4)
		}
	}
}

// interTools passes over what serves films.
func (r *bitReader) interTools() {
	r.bits(4)
	hint := r.flag() // enable_order_hint
	if hint {
		r.bits(2)
	}
	content := 2
	if !r.flag() { // seq_choose_screen_content_tools
		content = r.bits(1)
	}
	if content > 0 && !r.flag() { // seq_choose_integer_mv
		r.bits(1)
	}
	if hint {
		r.bits(3)
	}
}
