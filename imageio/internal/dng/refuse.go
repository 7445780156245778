package dng

import (
	"errors"
	"fmt"

	"huewright/imageio/internal/tiffdir"
)

var (
	// ErrNotRaw reports a file without a raw picture of this format.
	ErrNotRaw = errors.New("dng: there is no raw picture in it")
	// ErrShort reports a file that ends before its samples do.
	ErrShort = errors.New("dng: it ends too early")
	// ErrDamaged reports a file that contradicts itself.
	ErrDamaged = errors.New("dng: it is damaged")
)

func damaged(what string) error { return fmt.Errorf("%w: %s", ErrDamaged, what) }

// A Kind is a way to keep raw pictures that is not read.
type Kind string

// What a file may have that is not read.
const (
	KindLossy   Kind = "lossy"       // JPEG with losses
	KindXL      Kind = "xl"          // JPEG XL
	KindDeflate Kind = "deflate"     // as archives are packed
	KindPacking Kind = "packing"     // any other compression
	KindNumbers Kind = "numbers"     // floating point, or bits that are not 8 to 16
	KindColours Kind = "colours"     // not 2 × 2 of red, green and blue
	KindLayout  Kind = "layout"      // planes apart, rows interleaved
	KindNewer   Kind = "newer"       // a later version of the format
	KindMatrix  Kind = "no-matrices" // nothing says what its colours are
)

// A KindError refuses a file that is whole.
type KindError struct{ Kind Kind }

func (e *KindError) Error() string { return "dng: not read: " + string(e.Kind) }

// newest is the version up to which a file may ask for a reader: 1.7.
const newest = 1<<24 | 7<<16 | 0xffff

// refused is what keeps a picture from being read; "" for nothing.
func refused(main, first tiffdir.Directory) Kind {
	switch main.Whole(tagCompression, uncompressed) {
	case uncompressed, losslessJPEG:
	case 8, 32946:
		return KindDeflate
	case 34892:
		return KindLossy
	case 52546:
		return KindXL
	default:
		return KindPacking
	}
	samples := main.Whole(tagSamplesPerPixel, 1)
	bits := main.Numbers(tagBits)
	for _, b := range bits {
		if b != bits[0] || b < 8 || b > 16 {
			return KindNumbers
		}
	}
	isMosaic := main.Whole(tagPhotometric, 0) == photometricMosaic
	repeat := main.Numbers(tagCFARepeat)
	colours := main.Numbers(tagCFAPlaneColour)
	switch {
	case versionOf(first, tagBackwardVersion) > newest:
		return KindNewer
	case main.Whole(tagSampleFormat, 1) != 1, len(bits) == 0:
		return KindNumbers
	case isMosaic && (samples != 1 || len(repeat) != 2 || repeat[0] != 2 || repeat[1] != 2 || main.Whole(tagCFALayout, 1) != 1),
		!isMosaic && samples != 3,
		colours != nil && (len(colours) != 3 || colours[0] != 0 || colours[1] != 1 || colours[2] != 2):
		return KindColours
	case samples > 1 && main.Whole(tagPlanar, 1) != 1, main.Whole(tagRowInterleave, 1) != 1, main.Whole(tagColumnInterleave, 1) != 1,
		main.Whole(tagFillOrder, 1) != 1, main.Whole(tagPredictor, 1) != 1:
		return KindLayout
	}
	for _, v := range main.Numbers(tagSubTile) {
		if v != 1 {
			return KindLayout
		}
	}
	return ""
}
