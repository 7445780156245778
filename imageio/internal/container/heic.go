package container

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"slices"
	_ "unsafe" // for go:linkname

	"github.com/gen2brain/heic"

	"huewright/imageio/internal/bigendian"
)

// heicDynamic is the decoder's choice between a libheif of the host and the one it brings.
// Hosts differ in the versions they have, and some return pictures unrotated or crash; the
// same file must give the same pixels everywhere.
//
//go:linkname heicDynamic github.com/gen2brain/heic.dynamic
var heicDynamic bool

func init() { heicDynamic = false }

// decoderSemaphore lets one picture at a time into the decoders of HEIC and AVIF: for 12 megapixels they
// take 0.4 and 0.8 GB. Neither can be stopped: they run as WebAssembly, under a context of their own.
var decoderSemaphore = make(semaphore, 1)

// decodeHEIC returns the upright picture, with its transparency where it has some.
func decodeHEIC(ctx context.Context, data []byte) (image.Image, error) {
	if err := decoderSemaphore.acquire(ctx); err != nil {
		return nil, err
	}
	defer decoderSemaphore.release()
	img, err := decodeHEICItem(data, 0)
	if err != nil {
		return nil, err
	}
	items, err := readItems(data)
	if err != nil {
		return img, nil // the decoder has read what we could not
	}
	if item, found := items.alpha(); found {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		alpha, err := decodeHEICItem(data, item)
		if err != nil {
			return nil, err
		}
		return withAlpha(img, alpha)
	}
	return img, nil
}

// decodeHEICItem decodes one picture of the file, the primary one by 0. It copies the pixels,
// which would otherwise keep the whole memory of the decoder alive.
//
// The decoder refuses files whose main brand is not heic, whatever the others are, so it is
// told that: what the file holds has been looked at by then. It also refuses pictures said to
// have one channel (pixi) that are coded in three, as an older encoder writes them: where it
// fails, that property, which the coded picture repeats, is taken away.
func decodeHEICItem(data []byte, item uint32) (image.Image, error) {
	data = slices.Clone(data)
	copy(data[8:12], "heic")
	if item != 0 {
		makePrimary(data, item)
	}
	img, err := heic.Decode(bytes.NewReader(data))
	if err != nil && hidePixi(data) {
		img, err = heic.Decode(bytes.NewReader(data))
	}
	if err != nil {
		return nil, errUndecodable
	}
	switch img := img.(type) {
	case *image.YCbCr:
		img.Y, img.Cb, img.Cr = slices.Clone(img.Y), slices.Clone(img.Cb), slices.Clone(img.Cr)
	case *image.Gray:
		img.Pix = slices.Clone(img.Pix)
	case *image.NRGBA:
		img.Pix = slices.Clone(img.Pix)
	case *image.RGBA:
		img.Pix = slices.Clone(img.Pix)
	}
	return img, nil
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
