package imageio

import (
	"bytes"
	"errors"
	"image"
	"slices"
	"sync"
	_ "unsafe" // for go:linkname

	"github.com/bep/imagemeta"
	"github.com/gen2brain/heic"
)

// heicDynamic is the decoder's choice between a libheif of the host and the one it brings.
// Hosts differ in the versions they have, and some return pictures unrotated or crash; the
// same file must give the same pixels everywhere.
//
//go:linkname heicDynamic github.com/gen2brain/heic.dynamic
var heicDynamic bool

func init() { heicDynamic = false }

// heicMu lets one picture in at a time: the decoder takes 0.4 GB for 12 megapixels.
var heicMu sync.Mutex

// decodeHEIC returns the upright picture. It copies the pixels, which would otherwise keep
// the whole memory of the decoder alive.
func decodeHEIC(data []byte) (image.Image, error) {
	heicMu.Lock()
	defer heicMu.Unlock()
	img, err := heic.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, errors.New("its picture cannot be decoded")
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

// readHEIC finds size and colours of the primary picture. The decoder tells neither, and
// hands out luma and colour difference as coded, whatever rule they follow.
//
// Sources: ISO/IEC 14496-12 (boxes, colr), ISO/IEC 23008-12 (items and their properties).
func readHEIC(data []byte, file *envelope) *PhotoError {
	items, err := readItems(data)
	if err != nil {
		return damaged(formatHEIC, err.Error())
	}
	if kind := items.coding(); kind == "av01" {
		return &PhotoError{Problem: "is an AVIF, which is not read", Advice: "export it as JPEG or PNG"}
	} else if kind != "hvc1" && kind != "" {
		return &PhotoError{Problem: "is a HEIF coded as " + printable(kind) + ", which is not read", Advice: "export it as JPEG or PNG"}
	}
	file.turned = true
	file.exif, file.exifIn = data, imagemeta.HEIF
	for _, property := range items.properties() {
		body := property.body
		switch {
		case property.kind == "ispe" && len(body) >= 12:
			file.width, file.height = int(be32(body, 4)), int(be32(body, 8))
		case property.kind == "colr" && len(body) > 4 && (string(body[:4]) == "prof" || string(body[:4]) == "rICC"):
			file.icc = body[4:]
		case property.kind == "colr" && len(body) >= 11 && string(body[:4]) == "nclx":
			file.coding = &coding{
				primaries: int(be16(body, 4)), curve: int(be16(body, 6)),
				matrix: int(be16(body, 8)), full: body[10]&0x80 != 0,
			}
		}
	}
	if file.coding != nil {
		if file.ycc = file.coding.ycc(); file.ycc == nil {
			return &PhotoError{Problem: "codes its colours in a way that is not read", Advice: "export it as JPEG or PNG"}
		}
	}
	return nil
}
