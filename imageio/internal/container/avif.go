package container

import (
	"bytes"
	"context"
	"image"
	"slices"
	_ "unsafe" // for go:linkname

	"github.com/gen2brain/avif"
)

// avifDynamic is the decoder's choice between a libavif of the host and the one it brings, as
// heicDynamic is for HEIC.
//
//go:linkname avifDynamic github.com/gen2brain/avif.dynamic
var avifDynamic bool

func init() { avifDynamic = false }

// decodeAVIF returns the picture as stored, not turned upright, in R, G and B of 8 or 16 bits:
// the decoder honours the file's rule for luma and colour difference, but neither irot, imir
// nor clap. It copies the pixels, which would otherwise keep the memory of the decoder alive.
//
// Where the main brand is that of a sequence the decoder would read the film; it is told that
// it is a picture.
func decodeAVIF(ctx context.Context, data []byte) (image.Image, error) {
	if err := decoderSemaphore.acquire(ctx); err != nil {
		return nil, err
	}
	defer decoderSemaphore.release()
	rebranded := slices.Clone(data)
	copy(rebranded[8:12], "avif")
	img, err := avif.Decode(bytes.NewReader(rebranded))
	if err != nil {
		return nil, errUndecodable
	}
	if narrow, ok := img.(*image.RGBA); ok {
		narrow.Pix = slices.Clone(narrow.Pix)
	}
	return img, nil
}
