package rawfile

import "encoding/binary"

// A Photo is samples as a sensor stores them, and what the file says of them. The zero value of a field leaves it out of the file.
type Photo struct {
	BigEndian  bool
	Wide, High int
	Bits       int      // 8 to 16
	Linear     bool     // red, green and blue at each place, one after the other; else a mosaic
	Pattern    [4]byte  // colours of a mosaic's cell: 0, 1, 2 are red, green, blue
	Samples    []uint16 // codes, row by row

	TileWide, TileHigh int // 0 for strips
	RowsPerStrip       int // 0 for one strip
	Lossless           *Lossless

	Table                  []int // linearisation
	BlackRows, BlackColumn int   // of the pattern that black repeats in
	Black                  []float64
	BlackAcross, BlackDown []float64 // what is added in each column and row of the active area
	White                  []int
	Active                 []int     // top, left, bottom, right
	CropOrigin, CropSize   []float64 // left and top, width and height, in the active area
	Orientation            int
	Stored, Colours        []GainMap // opcode lists 2 and 3

	Neutral, WhiteXY  []float64
	Balance           []float64
	Lights            [2]int // by their numbers in EXIF
	Matrices          [2][]float64
	Forward           [2][]float64
	Calibration       [2][]float64
	Version, Backward [4]byte // 1.4 and 1.1 where zero

	RawFirst bool           // the raw picture is in the first directory, without a thumbnail before it
	Maker    string         // of the camera
	Taken    string         // as EXIF writes it, 2006:01:02 15:04:05
	More     map[uint16]int // further tags of the raw picture, one short each, in place of those there
}

func (p *Photo) order() byteOrder {
	if p.BigEndian {
		return binary.BigEndian
	}
	return binary.LittleEndian
}

func (p *Photo) planes() int {
	if p.Linear {
		return 3
	}
	return 1
}

// Bytes is the file.
func (p *Photo) Bytes() []byte {
	order := p.order()
	file := []byte{'I', 'I', 42, 0, 0, 0, 0, 0}
	if p.BigEndian {
		file = []byte{'M', 'M', 0, 42, 0, 0, 0, 0}
	}
	place := func(d *ifd) (at int) {
		if len(file)%2 == 1 {
			file = append(file, 0)
		}
		at = len(file)
		file = d.appendTo(file)
		return at
	}
	raw := &ifd{order: order}
	file = p.pixels(raw, file)
	p.describe(raw)
	whole := raw
	if !p.RawFirst {
		p.amend(raw)
		at := place(raw)
		whole = &ifd{order: order}
		whole.longs(254, 1)
		whole.longs(256, 4)
		whole.longs(257, 2)
		whole.shorts(258, 8, 8, 8)
		whole.shorts(259, 1)
		whole.shorts(262, 2)
		whole.longs(273, len(file))
		whole.shorts(277, 3)
		whole.longs(278, 2)
		whole.longs(279, 24)
		file = append(file, make([]byte, 24)...)
		whole.longs(330, at)
	}
	p.camera(whole)
	if p.Taken != "" {
		exif := &ifd{order: order}
		exif.text(36867, p.Taken)
		whole.longs(34665, place(exif))
	}
	if p.RawFirst {
		p.amend(whole)
	}
	at := place(whole)
	order.PutUint32(file[4:], uint32(at))
	return file
}

// amend puts further tags in place of those there.
func (p *Photo) amend(d *ifd) {
	for tag, v := range p.More {
		kept := d.entries[:0]
		for _, e := range d.entries {
			if e.tag != tag {
				kept = append(kept, e)
			}
		}
		d.entries = kept
		d.shorts(tag, v)
	}
}

// pixels appends strips or tiles and says where they lie.
func (p *Photo) pixels(d *ifd, file []byte) []byte {
	wide, high := p.TileWide, p.TileHigh
	tiled := wide > 0
	if !tiled {
		if wide, high = p.Wide, p.RowsPerStrip; high == 0 {
			high = p.High
		}
	}
	var at, size []int
	for y := 0; y < p.High; y += high {
		for x := 0; x < p.Wide; x += wide {
			rows := high
			if !tiled {
				rows = min(high, p.High-y)
			}
			part := p.coded(p.cut(x, y, wide, rows), wide, rows)
			at, size = append(at, len(file)), append(size, len(part))
			file = append(file, part...)
			if len(file)%2 == 1 {
				file = append(file, 0)
			}
		}
	}
	if tiled {
		d.longs(322, wide)
		d.longs(323, high)
		d.longs(324, at...)
		d.longs(325, size...)
		return file
	}
	d.longs(273, at...)
	d.longs(278, high)
	d.longs(279, size...)
	return file
}

// cut takes a part out; beyond the edges it repeats the last samples.
func (p *Photo) cut(x0, y0, wide, high int) []uint16 {
	n := p.planes()
	out := make([]uint16, 0, wide*high*n)
	for y := y0; y < y0+high; y++ {
		for x := x0; x < x0+wide; x++ {
			i := (min(y, p.High-1)*p.Wide + min(x, p.Wide-1)) * n
			out = append(out, p.Samples[i:i+n]...)
		}
	}
	return out
}

// coded is a part as it is stored.
func (p *Photo) coded(samples []uint16, wide, high int) []byte {
	line := wide * p.planes()
	if l := p.Lossless; l != nil {
		components := l.Components
		if components == 0 {
			components = 2 + p.planes()/3
		}
		if l.TwoRows {
			return l.encode(samples, wide*2/components, high/2*p.planes(), components, p.Bits)
		}
		return l.encode(samples, line/components, high, components, p.Bits)
	}
	var out []byte
	for ; len(samples) > 0; samples = samples[line:] {
		if p.Bits == 16 {
			for _, v := range samples[:line] {
				out = p.order().AppendUint16(out, v)
			}
			continue
		}
		held, n := uint64(0), 0
		for _, v := range samples[:line] {
			held, n = held<<p.Bits|uint64(v), n+p.Bits
			for n >= 8 {
				n -= 8
				out = append(out, byte(held>>n))
			}
		}
		if n > 0 {
			out = append(out, byte(held<<(8-n)))
		}
	}
	return out
}

// describe says what the samples are.
func (p *Photo) describe(d *ifd) {
	d.longs(254, 0)
	d.longs(256, p.Wide)
	d.longs(257, p.High)
	depth := []int{p.Bits}
	if p.Linear {
		depth = []int{p.Bits, p.Bits, p.Bits}
		d.shorts(262, 34892)
	} else {
		d.shorts(262, 32803)
		d.shorts(33421, 2, 2)
		d.bytes(33422, p.Pattern[:]...)
	}
	d.shorts(258, depth...)
	d.shorts(277, p.planes())
	d.shorts(284, 1)
	if p.Lossless != nil {
		d.shorts(259, 7)
	} else {
		d.shorts(259, 1)
	}
	d.shorts(50712, p.Table...)
	if p.BlackRows > 0 {
		d.shorts(50713, p.BlackRows, p.BlackColumn)
	}
	d.ratios(50714, false, p.Black...)
	d.ratios(50715, true, p.BlackAcross...)
	d.ratios(50716, true, p.BlackDown...)
	d.longs(50717, p.White...)
	d.ratios(50719, false, p.CropOrigin...)
	d.ratios(50720, false, p.CropSize...)
	d.longs(50829, p.Active...)
	if len(p.Stored) > 0 {
		d.undefined(51009, opcodeList(p.Stored))
	}
	if len(p.Colours) > 0 {
		d.undefined(51022, opcodeList(p.Colours))
	}
}

// camera says what the whole file is, and of the sensor's colours.
func (p *Photo) camera(d *ifd) {
	version, backward := p.Version, p.Backward
	if version == [4]byte{} {
		version = [4]byte{1, 4}
	}
	if backward == [4]byte{} {
		backward = [4]byte{1, 1}
	}
	d.bytes(50706, version[:]...)
	d.bytes(50707, backward[:]...)
	maker := p.Maker
	if maker == "" {
		maker = "drawn"
	}
	d.text(271, maker)
	d.text(272, maker)
	d.text(50708, maker)
	if p.Orientation > 0 {
		d.shorts(274, p.Orientation)
	}
	d.ratios(50728, false, p.Neutral...)
	d.ratios(50729, false, p.WhiteXY...)
	d.ratios(50727, false, p.Balance...)
	for i := range 2 {
		d.ratios(50721+uint16(i), true, p.Matrices[i]...)
		d.ratios(50723+uint16(i), true, p.Calibration[i]...)
		d.ratios(50964+uint16(i), true, p.Forward[i]...)
		if p.Lights[i] > 0 {
			d.shorts(50778+uint16(i), p.Lights[i])
		}
	}
}
