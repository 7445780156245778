package imageio

import (
	"fmt"
	"image"
	"image/color"
	"math/bits"

	"huewright/imageio/internal/container"
	"huewright/imageio/internal/dng"
	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/jpeg"
)

// raster reads the codes of a decoded picture, in stored orientation and before any transfer
// curve, without converting it as a whole.
type raster struct {
	width, height int
	bits          int                         // 8 or 16: codes run 0 … 1<<bits − 1
	code          codeAt                      // not premultiplied
	values        func(x, y int) icc.Channels // for pictures in CMYK or Lab, whose code is only a grey; else nil
	opaque        func(x, y int) bool         // nil when the whole picture is
	// square gives the codes of 2 × 2 stored pixels, row by row, for less than each alone; nil where there is no such way.
	square func(x, y int) [4][3]uint16
	// mean is the code of the mean luma and colour of few places, for pictures stored in these: much
	// quicker than the mean of their light, and near it where they are alike; nil for others.
	mean func(places []Pixel) (r, g, b uint16)
	// row fills in a whole stored row as red, green, blue and opaque bytes, for the same pictures at
	// a third of the price of code; nil for others.
	row func(y int, rgba []uint8)
	// lumaRow copies the brightness of a whole stored row, and luma gives that of a pixel, for the same pictures; nil for others.
	lumaRow func(y int, codes []uint8)
	luma    func(x, y int) uint8
	// parts is the same picture where parts of it are decoded when they are asked for; nil elsewhere.
	parts *jpeg.Picture
	// smaller are the same picture at a half, a quarter and an eighth, where its file gives these for less than the whole.
	smaller []*raster
	// full is the code of a channel of a raw photo that the sensor could not hold; 0 for others.
	full uint16
}

// codeAt gives the codes of a stored pixel, counted from the picture's own corner.
type codeAt func(x, y int) (r, g, b uint16)

// nearClip is the code from which a channel counts as clipped: 250 of 255, since a JPEG's
// rounding and a camera's shoulder keep burnt-out light a little below the end of the scale.
func (r *raster) nearClip() uint16 {
	if r.full > 0 {
		return r.full
	}
	if r.bits == 16 {
		return 250 * 257
	}
	return 250
}

// newRaster wraps the pictures our decoders return. YCbCr pictures are read by the given
// rule, since the kind alone does not say which range and weights their codes have.
func newRaster(img image.Image, rule *icc.YCCRule) (*raster, error) {
	b := img.Bounds()
	r := &raster{width: b.Dx(), height: b.Dy(), bits: 8}
	x0, y0 := b.Min.X, b.Min.Y
	switch img := img.(type) {
	case *image.YCbCr:
		r.readYCC(img, rule)
	case *jpeg.Picture:
		r.parts = img
		r.readView(img.View(0), rule)
		for shift := 1; shift <= 3; shift++ {
			v := img.View(shift)
			r.smaller = append(r.smaller, &raster{width: v.Width, height: v.Height, bits: 8})
			r.smaller[shift-1].readView(v, rule)
		}
	case *dng.Picture:
		r.readRaw(img)
	case *image.NYCbCrA:
		r.code = codeOfYCC(&img.YCbCr, rule)
		if !img.Opaque() {
			r.opaque = func(x, y int) bool { return img.A[img.AOffset(x0+x, y0+y)] == 0xff }
		}
	case *image.Gray:
		r.code = func(x, y int) (uint16, uint16, uint16) {
			v := uint16(img.Pix[img.PixOffset(x0+x, y0+y)])
			return v, v, v
		}
	case *image.Gray16:
		r.bits = 16
		r.code = func(x, y int) (uint16, uint16, uint16) {
			v := img.Gray16At(x0+x, y0+y).Y
			return v, v, v
		}
	case *image.NRGBA:
		r.code = codeOf8(img)
		if !img.Opaque() {
			r.opaque = func(x, y int) bool { return img.Pix[img.PixOffset(x0+x, y0+y)+3] == 0xff }
		}
	case *image.RGBA:
		if !img.Opaque() {
			r.straighten(img)
			break
		}
		r.code = codeOf8(&image.NRGBA{Pix: img.Pix, Stride: img.Stride, Rect: img.Rect})
	case *image.NRGBA64:
		r.bits, r.code = 16, codeOf16(img)
		if !img.Opaque() {
			r.opaque = func(x, y int) bool { return img.NRGBA64At(x0+x, y0+y).A == 0xffff }
		}
	case *image.RGBA64:
		if !img.Opaque() {
			r.straighten(img)
			break
		}
		r.bits, r.code = 16, codeOf16(&image.NRGBA64{Pix: img.Pix, Stride: img.Stride, Rect: img.Rect})
	case *image.CMYK:
		r.readInks(img)
	case *image.Paletted:
		r.straighten(img)
	default:
		return nil, fmt.Errorf("pixels stored as %T", img)
	}
	return r, nil
}

func codeOf8(img *image.NRGBA) codeAt {
	x0, y0 := img.Rect.Min.X, img.Rect.Min.Y
	return func(x, y int) (uint16, uint16, uint16) {
		p := img.Pix[img.PixOffset(x0+x, y0+y):]
		return uint16(p[0]), uint16(p[1]), uint16(p[2])
	}
}

func codeOf16(img *image.NRGBA64) codeAt {
	x0, y0 := img.Rect.Min.X, img.Rect.Min.Y
	return func(x, y int) (uint16, uint16, uint16) {
		c := img.NRGBA64At(x0+x, y0+y)
		return c.R, c.G, c.B
	}
}

func codeOfYCC(img *image.YCbCr, rule *icc.YCCRule) codeAt {
	x0, y0 := img.Rect.Min.X, img.Rect.Min.Y
	return func(x, y int) (uint16, uint16, uint16) {
		yi, ci := img.YOffset(x0+x, y0+y), img.COffset(x0+x, y0+y)
		return rule.RGB(img.Y[yi], img.Cb[ci], img.Cr[ci])
	}
}

// readYCC reads luma and colour difference, by whole rows and by the mean of places too.
func (r *raster) readYCC(img *image.YCbCr, rule *icc.YCCRule) {
	x0, y0 := img.Rect.Min.X, img.Rect.Min.Y
	r.code = codeOfYCC(img, rule)
	r.luma = func(x, y int) uint8 { return img.Y[img.YOffset(x0+x, y0+y)] }
	r.lumaRow = func(y int, codes []uint8) { copy(codes[:r.width], img.Y[img.YOffset(x0, y0+y):]) }
	across := chromaShift(img.SubsampleRatio)
	r.row = func(y int, rgba []uint8) {
		luma := img.Y[img.YOffset(x0, y0+y):][:r.width]
		first := img.COffset(x0, y0+y) - x0>>across
		for x, v := range luma {
			ci := first + (x0+x)>>across
			red, green, blue := rule.RGB(v, img.Cb[ci], img.Cr[ci])
			px := rgba[4*x : 4*x+4 : 4*x+4]
			px[0], px[1], px[2], px[3] = uint8(red), uint8(green), uint8(blue), 0xff
		}
	}
	r.mean = meanOf(rule, func(x, y int) (uint8, uint8, uint8) {
		ci := img.COffset(x0+x, y0+y)
		return img.Y[img.YOffset(x0+x, y0+y)], img.Cb[ci], img.Cr[ci]
	})
}

// meanOf is the code of the mean luma and colour of places.
func meanOf(rule *icc.YCCRule, ycc func(x, y int) (luma, blue, red uint8)) func(places []Pixel) (r, g, b uint16) {
	return func(places []Pixel) (uint16, uint16, uint16) {
		var luma, blue, red uint
		for _, p := range places {
			l, b, r := ycc(int(p.X), int(p.Y))
			luma, blue, red = luma+uint(l), blue+uint(b), red+uint(r)
		}
		n := uint(max(len(places), 1))
		if n&(n-1) == 0 { // as it mostly is: dividing takes as long as all the rest
			by := bits.TrailingZeros(n) & 31
			return rule.RGB(uint8((luma+n/2)>>by), uint8((blue+n/2)>>by), uint8((red+n/2)>>by))
		}
		return rule.RGB(uint8((luma+n/2)/n), uint8((blue+n/2)/n), uint8((red+n/2)/n))
	}
}

// readView reads a JPEG whose parts are decoded where they are asked for, at one size.
func (r *raster) readView(v *jpeg.View, rule *icc.YCCRule) {
	r.code = func(x, y int) (uint16, uint16, uint16) { return rule.RGB(v.YCC(x, y)) }
	r.square = func(x, y int) (codes [4][3]uint16) {
		luma, blue, red := v.Square(x, y)
		for k := range codes {
			codes[k][0], codes[k][1], codes[k][2] = rule.RGB(luma[k], blue[k], red[k])
		}
		return codes
	}
	r.mean = meanOf(rule, v.YCC)
	r.luma = func(x, y int) uint8 {
		luma, _, _ := v.YCC(x, y)
		return luma
	}
	r.lumaRow = func(y int, codes []uint8) {
		for x := 0; x < r.width; {
			luma, _, _, _ := v.Run(x, y)
			x += copy(codes[x:], luma)
		}
	}
	r.row = func(y int, rgba []uint8) {
		for x := 0; x < r.width; {
			luma, blue, red, across := v.Run(x, y)
			for i, l := range luma {
				cb, cr := uint8(jpeg.Neutral), uint8(jpeg.Neutral)
				if blue != nil {
					cb, cr = blue[i>>across], red[i>>across]
				}
				r, g, b := rule.RGB(l, cb, cr)
				px := rgba[4*(x+i) : 4*(x+i)+4 : 4*(x+i)+4]
				px[0], px[1], px[2], px[3] = uint8(r), uint8(g), uint8(b), 0xff
			}
			x += len(luma)
		}
	}
}

// near is the picture, or the smallest of those made of it of whose pixels none is more than so many of the picture's wide; these
// are 1<<shift.
func (r *raster) near(wide int) (_ *raster, shift int) {
	for shift < len(r.smaller) && 2<<shift <= wide {
		shift++
	}
	if shift == 0 {
		return r, 0
	}
	return r.smaller[shift-1], shift
}

// chromaShift is the power of two by which a picture has fewer columns of colour than of luma.
func chromaShift(r image.YCbCrSubsampleRatio) int {
	switch r {
	case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420:
		return 1
	case image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410:
		return 2
	}
	return 0
}

// straighten reads any picture through the colour model of the standard library, at 16 bits.
// It is the slow way, for kinds that photos seldom come in.
func (r *raster) straighten(img image.Image) {
	b := img.Bounds()
	r.bits = 16
	at := func(x, y int) color.NRGBA64 {
		return color.NRGBA64Model.Convert(img.At(b.Min.X+x, b.Min.Y+y)).(color.NRGBA64)
	}
	r.code = func(x, y int) (uint16, uint16, uint16) {
		c := at(x, y)
		return c.R, c.G, c.B
	}
	if o, ok := img.(interface{ Opaque() bool }); !ok || !o.Opaque() {
		r.opaque = func(x, y int) bool { return at(x, y).A == 0xffff }
	}
}

// readInks reads cyan, magenta, yellow and black, whose code is the white that they leave of the paper.
func (r *raster) readInks(img *image.CMYK) {
	x0, y0 := img.Rect.Min.X, img.Rect.Min.Y
	r.values = func(x, y int) (v icc.Channels) {
		for i, ink := range img.Pix[img.PixOffset(x0+x, y0+y):][:4] {
			v[i] = float64(ink) / 255
		}
		return v
	}
	r.code = func(x, y int) (uint16, uint16, uint16) {
		p := img.Pix[img.PixOffset(x0+x, y0+y):][:4]
		paper := uint16(255 - max(p[0], p[1], p[2], p[3]))
		return paper, paper, paper
	}
}

// asLab reads the codes as L*a*b*, kept as a TIFF of the given photometric kind keeps them.
func (r *raster) asLab(kind int) {
	raw, wide := r.code, r.bits == 16
	r.code = func(x, y int) (uint16, uint16, uint16) {
		l, _, _ := raw(x, y)
		return l, l, l
	}
	signed := func(v uint16) float64 { // a* or b*, with 128 added, as a share of 255
		if wide {
			return (float64(int16(v))/256 + 128) / 255
		}
		return (float64(int8(v)) + 128) / 255
	}
	r.values = func(x, y int) icc.Channels {
		l, a, b := raw(x, y)
		switch {
		case kind == container.PhotometricLab && wide:
			return icc.Channels{float64(l) / 65535, signed(a), signed(b)}
		case kind == container.PhotometricLab:
			return icc.Channels{float64(l) / 255, signed(a), signed(b)}
		case wide:
			return icc.Channels{float64(l) / 65280, float64(a) / 65280, float64(b) / 65280}
		}
		return icc.Channels{float64(l) / 255, float64(a) / 255, float64(b) / 255}
	}
}
