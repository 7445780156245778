//go:build !js

package container

import (
	"context"
	"image"
	"slices"
	_ "unsafe" // for go:linkname

	_ "github.com/gen2brain/avif" // brings the decoder

	"huewright/imageio/internal/sandbox"
)

// avifModule is the decoder that github.com/gen2brain/avif brings, as heicModule is that of HEIC.
//
//go:linkname avifModule github.com/gen2brain/avif.decodeWasm
var avifModule []byte

var avifDecoder = sandbox.New(&avifModule)

// decodeAVIF returns the picture as stored, not turned upright, in R, G and B of 8 or 16 bits:
// the decoder honours the file's rule for luma and colour difference, but neither irot, imir
// nor clap.
//
// Where the main brand is that of a sequence the decoder would read the film; it is told that
// it is a picture.
func decodeAVIF(ctx context.Context, data []byte, most uint64) (image.Image, error) {
	rebranded := slices.Clone(data)
	copy(rebranded[8:12], "avif")
	return runAVIF(ctx, rebranded, most)
}

// runAVIF hands a file to the decoder's only function,
//
//	int decode(in, in_size, config_only, decode_all, *width, *height, *depth, *count, *delay, out),
//
// first for what the file says of itself, then for the pixels, of which it makes a copy.
func runAVIF(ctx context.Context, data []byte, most uint64) (img image.Image, err error) {
	err = avifDecoder.Run(ctx, most, func(in *sandbox.Instance) error {
		file, err := in.Put(data)
		if err != nil {
			return err
		}
		const words, delay = 4, 8 // bytes of a delay
		facts, err := in.Alloc(4*words + delay)
		if err != nil {
			return err
		}
		decode := func(configOnly uint64, out uint32) error {
			at := uint64(facts)
			return succeeded(in.Call("decode", uint64(file), uint64(len(data)), configOnly, 0, at, at+4, at+8, at+12, at+16, uint64(out)))
		}
		if err := decode(1, 0); err != nil {
			return err
		}
		said, err := in.Words(facts, words)
		if err != nil {
			return err
		}
		const farthest = 1 << 16
		wide, high, bytesOfPixel := int(said[0]), int(said[1]), 4
		if wide < 1 || high < 1 || wide > farthest || high > farthest {
			return errUndecodable
		}
		if deep := said[2] > 8; deep {
			bytesOfPixel = 8
		}
		size := bytesOfPixel * wide * high
		out, err := in.Alloc(size)
		if err != nil {
			return err
		}
		if err := decode(0, out); err != nil {
			return err
		}
		decoded, err := in.Bytes(out, size)
		if err != nil {
			return err
		}
		pixels, rect := slices.Clone(decoded), image.Rect(0, 0, wide, high)
		if bytesOfPixel == 4 {
			img = &image.RGBA{Pix: pixels, Stride: 4 * wide, Rect: rect}
			return nil
		}
		for i := 0; i+1 < len(pixels); i += 2 { // the decoder's numbers have their low byte first
			pixels[i], pixels[i+1] = pixels[i+1], pixels[i]
		}
		img = &image.RGBA64{Pix: pixels, Stride: 8 * wide, Rect: rect}
		return nil
	})
	return img, err
}
