//go:build !js

package container

import (
	"context"
	"encoding/binary"
	"errors"
	"image"
	"path/filepath"
	"slices"
	"strings"
	_ "unsafe" // for go:linkname

	_ "github.com/gen2brain/heic" // brings the decoder

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/sandbox"
)

// heicModule is the decoder, gzipped, that github.com/gen2brain/heic brings. That package itself is not called: it
// would sooner load a libheif of the host, where versions differ, some return pictures unrotated or crash, and the
// same file must give the same pixels everywhere; and it sets no bound to memory and heeds no context. Were the
// variable renamed there, there would be no decoder here, and no HEIC would open.
//
//go:linkname heicModule github.com/gen2brain/heic.heifWasm
var heicModule []byte

var heicDecoder = sandbox.New(&heicModule)

// turnedByDecoder says whether an AVIF comes out upright, as a HEIC does.
const turnedByDecoder = false

// Prepare compiles, in the background, the decoder of a file of this name, which takes half a second once in a process. Other files need
// none.
func Prepare(name string) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".heic", ".heif", ".hif":
		go func() { _ = heicDecoder.Warm(context.Background()) }() // whoever decodes hears of it
	case ".avif":
		go func() { _ = avifDecoder.Warm(context.Background()) }()
	}
}

func decodeInSandbox(ctx context.Context, format Format, data []byte, most uint64) (image.Image, error) {
	if format == formatAVIF {
		return decodeAVIF(ctx, data, most)
	}
	return decodeHEIC(ctx, data, most)
}

// decodeHEIC returns the upright picture, with its transparency where it has some.
func decodeHEIC(ctx context.Context, data []byte, most uint64) (image.Image, error) {
	items, unread := readItems(data)
	var img image.Image
	if unread == nil {
		img = decodeTiles(ctx, items, data, most)
	}
	if img == nil {
		var err error
		if img, err = decodeHEICItem(ctx, data, 0, most); err != nil {
			return nil, err
		}
	}
	if unread != nil {
		return img, nil // the decoder has read what we could not
	}
	if item, found := items.alpha(); found {
		alpha, err := decodeHEICItem(ctx, data, item, most)
		if err != nil {
			return nil, err
		}
		return withAlpha(img, alpha)
	}
	return img, nil
}

// decodeHEICItem decodes one picture of the file, the primary one by 0.
//
// The decoder refuses files whose main brand is not heic, whatever the others are, so it is
// told that: what the file holds has been looked at by then. It also refuses pictures said to
// have one channel (pixi) that are coded in three, as an older encoder writes them: where it
// fails, that property, which the coded picture repeats, is taken away.
func decodeHEICItem(ctx context.Context, data []byte, item uint32, most uint64) (image.Image, error) {
	data = slices.Clone(data)
	copy(data[8:12], "heic")
	if item != 0 {
		makePrimary(data, item)
	}
	img, err := runHEIC(ctx, data, most)
	if errors.Is(err, errUndecodable) && hidePixi(data) {
		img, err = runHEIC(ctx, data, most)
	}
	return img, err
}

// runHEIC decodes a file's primary picture. It copies the pixels: they would keep the decoder's memory alive.
func runHEIC(ctx context.Context, data []byte, most uint64) (img image.Image, err error) {
	err = heicDecoder.Run(ctx, most, func(in *sandbox.Instance) error {
		file, err := putHEIC(in, data)
		if err != nil {
			return err
		}
		layout, err := file.layout()
		if err != nil {
			return err
		}
		out, err := in.Alloc(layout.size())
		if err != nil {
			return err
		}
		if err := file.decode(out); err != nil {
			return err
		}
		pixels, err := in.Bytes(out, layout.size())
		if err == nil {
			img = layout.picture(slices.Clone(pixels))
		}
		return err
	})
	return img, err
}

// A heicFile is a file in the memory of a run of its decoder, whose only function is
//
//	int decode(in, in_size, config_only, *width, *height, *colorspace, *chroma, *is_premultiplied, out).
type heicFile struct {
	in        *sandbox.Instance
	at, facts uint32 // of the file, and of what the decoder says of its picture
	size      int
}

func putHEIC(in *sandbox.Instance, data []byte) (f heicFile, err error) {
	f = heicFile{in: in, size: len(data)}
	if f.at, err = in.Put(data); err == nil {
		f.facts, err = in.Alloc(5 * 4)
	}
	return f, err
}

func (f heicFile) call(configOnly uint64, out uint32) error {
	at := uint64(f.facts)
	return succeeded(f.in.Call("decode", uint64(f.at), uint64(f.size), configOnly, at, at+4, at+8, at+12, at+16, uint64(out)))
}

// layout is what the file says of its primary picture.
func (f heicFile) layout() (heicLayout, error) {
	if err := f.call(1, 0); err != nil {
		return heicLayout{}, err
	}
	said, err := f.in.Words(f.facts, 5)
	if err != nil {
		return heicLayout{}, err
	}
	return heicLayoutOf(said)
}

// decode writes the pixels of the primary picture to a place that is as large as its layout says.
func (f heicFile) decode(out uint32) error { return f.call(0, out) }

// succeeded is the error of a decoder's function, whose result is 0 where it cannot decode.
func succeeded(result uint64, err error) error {
	if err == nil && result == 0 {
		return errUndecodable
	}
	return err
}

// Colour spaces and subsamplings by libheif's numbers (heif.h of 1.18).
const (
	heicYCbCr, heicRGB, heicGrey = 0, 1, 2
	heic420, heic422, heic444    = 1, 2, 3
)

// A heicLayout is how the decoder lays out the pixels of a picture.
type heicLayout struct {
	wide, high    int
	colours       uint32 // heicYCbCr, heicRGB or heicGrey
	premultiplied bool
	ratio         image.YCbCrSubsampleRatio
}

func heicLayoutOf(said []uint32) (l heicLayout, err error) {
	const farthest = 1 << 15
	if said[0] < 1 || said[1] < 1 || said[0] > farthest || said[1] > farthest || said[2] > heicGrey {
		return l, errUndecodable
	}
	l = heicLayout{wide: int(said[0]), high: int(said[1]), colours: said[2], premultiplied: said[4] == 1}
	switch {
	case l.colours != heicYCbCr:
	case said[3] == heic420:
		l.ratio = image.YCbCrSubsampleRatio420
	case said[3] == heic422:
		l.ratio = image.YCbCrSubsampleRatio422
	case said[3] == heic444:
		l.ratio = image.YCbCrSubsampleRatio444
	default:
		return l, errUndecodable
	}
	return l, nil
}

// planes are the bytes of a row and the number of rows, of luma or the only plane, and of a colour difference.
func (l heicLayout) planes() (row, rows, colourRow, colourRows int) {
	aligned := func(n int) int { return (n + 15) &^ 15 }
	switch {
	case l.colours == heicRGB:
		return aligned(4 * l.wide), l.high, 0, 0
	case l.colours == heicGrey:
		return aligned(l.wide), l.high, 0, 0
	}
	colourWide, colourHigh := l.wide, l.high
	if l.ratio != image.YCbCrSubsampleRatio444 {
		colourWide = (l.wide + 1) / 2
	}
	if l.ratio == image.YCbCrSubsampleRatio420 {
		colourHigh = (l.high + 1) / 2
	}
	return aligned(l.wide), l.high, aligned(colourWide), colourHigh
}

func (l heicLayout) size() int {
	row, rows, colourRow, colourRows := l.planes()
	return row*rows + 2*colourRow*colourRows
}

func (l heicLayout) picture(pixels []byte) image.Image {
	row, rows, colourRow, colourRows := l.planes()
	rect := image.Rect(0, 0, l.wide, l.high)
	switch {
	case l.colours == heicGrey:
		return &image.Gray{Pix: pixels, Stride: row, Rect: rect}
	case l.colours == heicRGB && l.premultiplied:
		return &image.RGBA{Pix: pixels, Stride: row, Rect: rect}
	case l.colours == heicRGB:
		return &image.NRGBA{Pix: pixels, Stride: row, Rect: rect}
	}
	blue, red := row*rows, row*rows+colourRow*colourRows
	return &image.YCbCr{
		Y: pixels[:blue:blue], Cb: pixels[blue:red:red], Cr: pixels[red:],
		YStride: row, CStride: colourRow, SubsampleRatio: l.ratio, Rect: rect,
	}
}

// makePrimary changes which picture of a file is the one to decode.
func makePrimary(data []byte, item uint32) {
	list, _ := metaBoxes(data)
	switch pitm := find(list, "pitm"); {
	case len(pitm) >= 8 && pitm[0] != 0:
		binary.BigEndian.PutUint32(pitm[4:], item)
	case len(pitm) >= 6:
		binary.BigEndian.PutUint16(pitm[4:], uint16(item))
	}
}

// hidePixi renames the properties that say how many channels there are, and reports whether
// there were any.
func hidePixi(data []byte) (some bool) {
	list, _ := metaBoxes(data)
	properties := find(boxes(find(list, "iprp")), "ipco")
	for at := 0; at+8 <= len(properties); {
		if string(properties[at+4:at+8]) == "pixi" {
			copy(properties[at+4:], "free")
			some = true
		}
		size := int(bigendian.Uint32(properties, at))
		if size < 8 {
			break
		}
		at += size
	}
	return some
}

// withAlpha joins a picture with the one that says where it is transparent.
func withAlpha(img, alpha image.Image) (image.Image, error) {
	picture, ok := img.(*image.YCbCr)
	if !ok || alpha.Bounds() != img.Bounds() {
		return nil, errUndecodable
	}
	joined := &image.NYCbCrA{YCbCr: *picture, AStride: picture.Rect.Dx()}
	switch alpha := alpha.(type) {
	case *image.Gray:
		joined.A, joined.AStride = alpha.Pix, alpha.Stride
	case *image.YCbCr:
		joined.A, joined.AStride = alpha.Y, alpha.YStride
	default:
		return nil, errUndecodable
	}
	return joined, nil
}
