package container

import (
	"image"
	"image/color"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/tiffdir"
	"huewright/internal/fault"
)

// What decoding takes, in bytes of memory a pixel. Measured, as the largest of what our test pictures took:
// TestWorstPictures holds the whole to its bound.
const (
	bytesOfVP8L = 13 // its transforms keep a copy of the picture
	bytesOfVP8  = 3
	// A TIFF's strips and tiles are unpacked into a buffer that grows by doubling, of 8 bytes a pixel at most.
	bytesOfTIFFStrip = 24
	// muchMemory is from where on it is given back at once.
	muchMemory = 64 << 20
)

// fits refuses a picture whose decoding would take more memory than the limits allow.
func (p *Picture) fits(data []byte, limits Limits) *fault.Fault {
	need := int64(len(data)) + p.memory
	if need <= limits.memory() {
		return nil
	}
	return p.tooMuch(need, limits)
}

// sandboxMemory is what the decoder of a HEIC or AVIF may have: somewhat more than its stream lets expect, and no more
// than the limits leave.
func (p *Picture) sandboxMemory(data []byte, limits Limits) uint64 {
	const least, page = 24 << 20, 1 << 16
	left := limits.memory() - int64(len(data)) - (p.memory - p.decoder)
	return uint64(max(least, min(p.decoder*5/4+int64(len(data))+least, left))) / page * page
}

func (p *Picture) tooMuch(need int64, limits Limits) *fault.Fault {
	return fault.New(fault.Photo, "photo.much-memory", "megabytes", float64(need)/1e6, "limit", float64(limits.memory())/1e6)
}

// memoryOf is what the standard library's decoder, or that of golang.org/x/image, takes for a picture of such
// pixels.
func memoryOf(format Format, data []byte, config image.Config) int64 {
	pixels := int64(config.Width) * int64(config.Height)
	each := int64(4)
	switch config.ColorModel {
	case color.GrayModel:
		each = 1
	case color.Gray16Model:
		each = 2
	case color.NRGBA64Model, color.RGBA64Model:
		each = 8
	default:
		if _, is := config.ColorModel.(color.Palette); is {
			each = 1
		}
	}
	switch format {
	case formatPNG:
		if len(data) > 28 && data[28] != 0 {
			each *= 2 // interlaced: each pass is a picture of its own
		}
	case formatTIFF:
		return pixels*each + stripOf(data, config)*bytesOfTIFFStrip
	case formatWebP:
		if each = bytesOfVP8L; config.ColorModel == color.YCbCrModel || config.ColorModel == color.NYCbCrAModel {
			each = bytesOfVP8
		}
	}
	return pixels * each
}

// stripOf is the number of pixels in a strip or tile of the first page of a TIFF.
func stripOf(data []byte, config image.Config) int64 {
	dirs, _, _ := tiffdir.Read(data)
	if len(dirs) == 0 {
		return 0
	}
	wide, high := config.Width, config.Height
	if rows := dirs[0].Whole(tagRowsPerStrip, 0); rows > 0 { // 0 is one strip of all, as no word of it is
		high = min(rows, high)
	}
	if w := dirs[0].Whole(tagTileWidth, 0); w > 0 {
		wide, high = w, dirs[0].Whole(tagTileLength, 0)
	}
	return int64(wide) * int64(high)
}

// A jpegFrame is what the frame of a JPEG says, and how much of it its scans go over.
//
// Source: ITU-T T.81, B.2.2 and B.2.3, A.1.1 and A.2.
type jpegFrame struct {
	progressive bool
	components  []jpegComponent
	across      int64 // units in a row
	down        int64
	restarts    bool
	scans       int
	work        int64 // blocks that the scans go over, all together
	places      int64 // that are kept of the scans, where parts are decoded when they are asked for
}

type jpegComponent struct {
	name   byte
	h, v   int64
	blocks int64
}

// readFrame takes a frame's header.
func (f *jpegFrame) readFrame(marker byte, body []byte) {
	if len(body) < 6 || f.components != nil {
		return
	}
	f.progressive = marker == 0xc2
	high, wide := int64(bigendian.Uint16(body, 1)), int64(bigendian.Uint16(body, 3))
	mostH, mostV := int64(1), int64(1)
	for c := body[6:]; len(c) >= 3; c = c[3:] {
		one := jpegComponent{name: c[0], h: max(1, int64(c[1]>>4)), v: max(1, int64(c[1]&15))}
		mostH, mostV = max(mostH, one.h), max(mostV, one.v)
		f.components = append(f.components, one)
	}
	if len(f.components) == 1 { // one block in each unit, whatever the file says
		f.components[0].h, f.components[0].v, mostH, mostV = 1, 1, 1, 1
	}
	f.across, f.down = (wide+8*mostH-1)/(8*mostH), (high+8*mostV-1)/(8*mostV)
	for i := range f.components {
		c := &f.components[i]
		c.blocks = f.across * c.h * f.down * c.v
	}
}

// stretches is how many parts of the picture are decoded together: of 8 blocks of luma in a row, with what belongs to them.
func (f *jpegFrame) stretches() int64 {
	each := max(1, 8/f.components[0].h) // units
	return (f.across + each - 1) / each * f.down
}

// readScan takes a scan's header.
func (f *jpegFrame) readScan(body []byte) {
	f.scans++
	if len(body) < 1 {
		return
	}
	rows := int64(1)                           // of blocks that are gone over one after another in a row of units
	for c := body[1:]; len(c) > 4; c = c[2:] { // two bytes a component, and three at the end
		for _, of := range f.components {
			if of.name == c[0] {
				f.work += of.blocks
				if body[0] == 1 {
					rows = of.v
				}
			}
		}
	}
	if len(f.components) > 0 {
		f.places += rows * f.stretches()
	}
}

func (f *jpegFrame) blocks() (n int64) {
	for _, c := range f.components {
		n += c.blocks
	}
	return n
}

// memory is what reading takes of a file of so many bytes: the more of what both readers take, since which one it will be is not known
// before.
func (f *jpegFrame) memory(pixels, size int64) int64 {
	if len(f.components) == 0 {
		return 0
	}
	return max(f.wholeMemory(pixels), f.memoryOfParts(size))
}

// samples in a block.
const samples = 64

// wholeMemory is what the standard library's decoder takes: a byte for each sample, four more where it keeps the coefficients of all
// blocks between scans, and four a pixel where it joins print colours or red, green and blue.
func (f *jpegFrame) wholeMemory(pixels int64) int64 {
	n := samples * f.blocks()
	if f.progressive {
		n *= 5
	}
	if len(f.components) == 4 || len(f.components) == 3 && f.inRGB() {
		n += 4 * pixels
	}
	return n
}

// memoryOfParts is what imageio/internal/jpeg takes once somebody has asked for every pixel, at full size, a half and a quarter. Beside
// the samples it keeps the coded data, the mean of each block, and where it was in the scans.
func (f *jpegFrame) memoryOfParts(size int64) int64 {
	const (
		ofPart     = 80 + 8 // and the pointer to it
		ofPlace    = 16
		ofRestart  = 4
		ofGradual  = 4 + 8 // of a block, between the scans
		ofSamples  = samples + samples/4 + samples/16
		ofSmallest = 1
	)
	n := f.blocks()*(ofSamples+ofSmallest) + 3*ofPart*f.stretches() + ofPlace*f.places + size
	if f.restarts {
		n += ofRestart * f.across * f.down
	}
	if f.progressive {
		n += ofGradual * f.blocks()
	}
	return n
}

// inRGB reports components named by their colours, which the decoder converts.
func (f *jpegFrame) inRGB() bool {
	c := f.components
	return c[0].name == 'R' && c[1].name == 'G' && c[2].name == 'B'
}

// mostVisits is how many times the scans of a JPEG may go over its blocks, on average. A scan of one of 64 coefficients
// is seldom; programs write 1 where the picture comes at once, and 6 to 10 where it comes by and by.
const mostVisits = 40

// mostScans is how many there may be of them, whatever they go over.
const mostScans = 200

// check refuses a JPEG that would be gone over far more often than any program writes.
func (f *jpegFrame) check() *fault.Fault {
	visits := int64(mostVisits)
	if !f.progressive {
		visits = 2 // each component has one scan
	}
	if f.scans <= mostScans && f.work <= visits*f.blocks() {
		return nil
	}
	return fault.New(fault.Photo, "photo.many-scans", "scans", f.scans)
}
