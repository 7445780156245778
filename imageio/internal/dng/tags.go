package dng

import (
	"encoding/binary"
	"math"

	"huewright/colour/sensor"
	"huewright/imageio/internal/tiffdir"
)

// The tags that are looked at, by their names in the DNG specification and TIFF 6.0.
const (
	tagNewSubfileType   = 254
	tagWidth            = 256
	tagLength           = 257
	tagBits             = 258
	tagCompression      = 259
	tagPhotometric      = 262
	tagFillOrder        = 266
	tagStripOffsets     = 273
	tagOrientation      = 274
	tagSamplesPerPixel  = 277
	tagRowsPerStrip     = 278
	tagStripByteCounts  = 279
	tagPlanar           = 284
	tagPredictor        = 317
	tagTileWidth        = 322
	tagTileLength       = 323
	tagTileOffsets      = 324
	tagTileByteCounts   = 325
	tagSampleFormat     = 339
	tagCFARepeat        = 33421
	tagCFAPattern       = 33422
	tagVersion          = 50706
	tagBackwardVersion  = 50707
	tagCFAPlaneColour   = 50710
	tagCFALayout        = 50711
	tagLinearization    = 50712
	tagBlackRepeat      = 50713
	tagBlackLevel       = 50714
	tagBlackDeltaH      = 50715
	tagBlackDeltaV      = 50716
	tagWhiteLevel       = 50717
	tagCropOrigin       = 50719
	tagCropSize         = 50720
	tagColourMatrix1    = 50721
	tagColourMatrix2    = 50722
	tagCalibration1     = 50723
	tagCalibration2     = 50724
	tagAnalogBalance    = 50727
	tagAsShotNeutral    = 50728
	tagAsShotWhite      = 50729
	tagIlluminant1      = 50778
	tagIlluminant2      = 50779
	tagActiveArea       = 50829
	tagForwardMatrix1   = 50964
	tagForwardMatrix2   = 50965
	tagSubTile          = 50974
	tagRowInterleave    = 50975
	tagOpcodes2         = 51009
	tagOpcodes3         = 51022
	tagColumnInterleave = 52547
)

// What some of them say.
const (
	photometricMosaic = 32803
	photometricLinear = 34892
	uncompressed      = 1
	losslessJPEG      = 7
)

// A rect is of stored samples: rows top to bottom, columns left to right, their ends not included.
type rect struct{ top, left, bottom, right int }

func (r rect) wide() int { return r.right - r.left }
func (r rect) high() int { return r.bottom - r.top }

// A Raw is a raw photo whose tags are read and whose samples are not decoded yet.
type Raw struct {
	Wide, High  int            // as stored, in samples
	Orientation int            // as numbered by TIFF, 1–8; 0 where the file does not say
	Colours     sensor.Profile // what the file says of the sensor
	Skipped     bool           // the file asks for a step that was not taken: colours may be off

	data    []byte
	order   binary.ByteOrder
	version int // as four bytes

	planes  int     // samples of a place: 1 of a mosaic, 3 of a linear picture
	cells   [4]byte // which colour each place of a mosaic's cell has: 0, 1, 2 are red, green, blue
	bits    int
	packing int // compression
	parts   layout
	table   []uint16 // linearisation; nil for none
	active  rect
	crop    rect // of the picture, within active
	levels  levels
	shading shading
}

// Read reads the tags of a file that begins as a TIFF does. Every error tells what to do: [ErrNotRaw], a *[KindError],
// ErrDamaged or ErrShort.
func Read(data []byte) (*Raw, error) {
	all, _, order := tiffdir.Read(data)
	main, first := mainOf(all)
	if main == nil {
		return nil, ErrNotRaw
	}
	if kind := refused(main, first); kind != "" {
		return nil, &KindError{kind}
	}
	r := &Raw{data: data, order: order, version: versionOf(first, tagVersion)}
	r.Wide, r.High = main.Whole(tagWidth, 0), main.Whole(tagLength, 0)
	r.bits, r.packing = main.Whole(tagBits, 1), main.Whole(tagCompression, uncompressed)
	if r.Wide < 2 || r.High < 2 || r.Wide > mostAcross || r.High > mostAcross {
		return nil, damaged("it does not say how large it is")
	}
	if v := first.Whole(tagOrientation, main.Whole(tagOrientation, 0)); v >= 1 && v <= 8 {
		r.Orientation = v
	}
	for _, read := range []func(main, first tiffdir.Directory) error{
		r.readCells, r.readArea, r.readTable, r.readLevels, r.readLayout, r.readShading, r.readColours,
	} {
		if err := read(main, first); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// mostAcross is how wide or high a picture may be.
const mostAcross = 1 << 16

// mainOf are the directory of the full picture and that of the whole file.
func mainOf(all []tiffdir.Directory) (main, first tiffdir.Directory) {
	for _, d := range all {
		if p := d.Whole(tagPhotometric, 0); p != photometricMosaic && p != photometricLinear {
			continue
		}
		if d.Whole(tagNewSubfileType, 0) == 0 {
			return d, all[0]
		}
	}
	return nil, nil
}

func (r *Raw) mosaic() bool { return r.planes == 1 }

// readCells reads how the colours of a mosaic lie.
func (r *Raw) readCells(main, _ tiffdir.Directory) error {
	r.planes = 1
	if main.Whole(tagPhotometric, 0) == photometricLinear {
		r.planes = 3
		return nil
	}
	pattern, count := main.Numbers(tagCFAPattern), [3]int{}
	if len(pattern) != 4 {
		return damaged("it does not say where its colours are")
	}
	for i, v := range pattern {
		if v != 0 && v != 1 && v != 2 {
			return &KindError{KindColours}
		}
		r.cells[i] = byte(v)
		count[int(v)]++
	}
	if count != [3]int{1, 2, 1} {
		return &KindError{KindColours}
	}
	return nil
}

// readArea reads which samples saw light, and which of them are the picture.
func (r *Raw) readArea(main, _ tiffdir.Directory) error {
	r.active = rect{0, 0, r.High, r.Wide}
	if v := main.Numbers(tagActiveArea); len(v) == 4 {
		a := rect{int(v[0]), int(v[1]), int(v[2]), int(v[3])}
		if !inside(v, mostAcross) || a.top >= a.bottom || a.left >= a.right || a.bottom > r.High || a.right > r.Wide {
			return damaged("its active area is not on it")
		}
		r.active = a
	}
	r.crop = r.active
	origin, size := main.Numbers(tagCropOrigin), main.Numbers(tagCropSize)
	if len(origin) == 2 && len(size) == 2 && inside(origin, mostAcross) && inside(size, mostAcross) {
		left, top := r.active.left+int(math.Round(origin[0])), r.active.top+int(math.Round(origin[1]))
		c := rect{top, left, min(top+int(math.Round(size[1])), r.active.bottom), min(left+int(math.Round(size[0])), r.active.right)}
		if c.wide() >= 2 && c.high() >= 2 {
			r.crop = c
		}
	}
	if r.crop.wide() < 2 || r.crop.high() < 2 {
		return damaged("nothing of it is the picture")
	}
	return nil
}

// inside reports whether numbers are between 0 and a limit.
func inside(v []float64, limit float64) bool {
	for _, x := range v {
		if !(x >= 0 && x <= limit) {
			return false
		}
	}
	return true
}

// readTable reads what the stored codes stand for, where that is not they themselves.
func (r *Raw) readTable(main, _ tiffdir.Directory) error {
	f, found := main[tagLinearization]
	if !found {
		return nil
	}
	v := main.Numbers(tagLinearization)
	if len(v) == 0 || f.Kind != tiffdir.KindShort || len(v) > 1<<16 {
		return damaged("its linearisation table is wrong")
	}
	r.table = make([]uint16, len(v))
	for i, x := range v {
		r.table[i] = uint16(x)
	}
	return nil
}

// versionOf is a version as one number, 0 where none is given.
func versionOf(d tiffdir.Directory, tag int) (version int) {
	for _, v := range d.Numbers(tag) {
		version = version<<8 | int(v)&0xff
	}
	return version
}
