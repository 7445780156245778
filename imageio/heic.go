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
//
// The decoder refuses files whose main brand is not heic, whatever the others are, so it is
// told that: what the file holds has been looked at by then.
func decodeHEIC(data []byte) (image.Image, error) {
	heicMu.Lock()
	defer heicMu.Unlock()
	rebranded := slices.Clone(data)
	copy(rebranded[8:12], "heic")
	img, err := heic.Decode(bytes.NewReader(rebranded))
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

// errUndecodable is all that the decoder says.
var errUndecodable = errors.New("cannot be decoded: it is damaged, or coded in a way that is not read")

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
	var configuration []byte
	for _, property := range items.properties() {
		body := property.body
		switch {
		case property.kind == "ispe" && len(body) >= 12:
			file.width, file.height = int(be32(body, 4)), int(be32(body, 8))
		case property.kind == "hvcC":
			configuration = body
		case property.kind == "colr" && len(body) > 4 && (string(body[:4]) == "prof" || string(body[:4]) == "rICC"):
			file.icc = body[4:]
		case property.kind == "colr" && len(body) >= 11 && string(body[:4]) == "nclx":
			file.coding = &coding{
				primaries: int(be16(body, 4)), curve: int(be16(body, 6)),
				matrix: int(be16(body, 8)), full: body[10]&0x80 != 0,
			}
		}
	}
	// Note: a picture made of tiles whose tiles say narrow range and which itself says nothing
	// is full range: phones write such files and fill the full range, and the common decoder
	// reads them so.
	if file.coding == nil && configuration != nil {
		if c, known := hevcColours(configuration); known {
			file.coding = &c
		}
	}
	if file.coding != nil {
		if file.ycc = file.coding.ycc(); file.ycc == nil {
			return &PhotoError{Problem: "codes its colours in a way that is not read", Advice: "export it as JPEG or PNG"}
		}
	}
	return nil
}

// correctRange mends a file that says narrow range and fills the full one. Narrow range
// leaves the ends to the overshoot of sharp edges, a tenth of a per cent of a real picture.
func (e *envelope) correctRange(img image.Image) {
	const overshoot = 0.02 // share of pixels; our own choice
	picture, ok := img.(*image.YCbCr)
	if !ok || e.coding == nil || e.coding.full {
		return
	}
	outside, all := 0, 0
	for y := 0; y < picture.Rect.Dy(); y += 4 {
		for x := 0; x < picture.Rect.Dx(); x += 4 {
			all++
			if l := picture.Y[y*picture.YStride+x]; l < 16 || l > 235 {
				outside++
			}
		}
	}
	if float64(outside) > overshoot*float64(all) {
		e.warn("the file says that its colours use the narrow range, but they fill the full one: read as full range")
		full := *e.coding
		full.full = true
		e.ycc = full.ycc()
	}
}
