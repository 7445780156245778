package jpeg

import (
	"context"
	"image"
	"image/color"
	"math/bits"
	"sync/atomic"
)

// A Picture is a JPEG that has been passed over. It does not change for whoever reads it, and any number of goroutines may.
type Picture struct {
	header
	coded
	across, down int     // units
	stretch      int     // units that are decoded together
	stretches    int     // in each row of units
	places       []place // of the only scan
	scans        []*scan // of a progressive picture
	means        []plane // of the blocks of each component
	views        [4]View
	lumas        [4]View
	parts        [3][]atomic.Pointer[part] // decoded so far, at full size, a half and a quarter
}

// A plane is samples, row by row.
type plane struct {
	codes  []uint8
	stride int
}

// Open passes over a file. The error is ErrOther, or that of the context.
func Open(ctx context.Context, file []byte) (*Picture, error) { return open(ctx, file, false) }

// OpenOver is Open of a file that nobody else reads, whose memory may be written over, even where the error is ErrOther. A few hundred
// bytes of capacity beyond its end save copying it.
func OpenOver(ctx context.Context, file []byte) (*Picture, error) { return open(ctx, file, true) }

func open(ctx context.Context, file []byte, over bool) (*Picture, error) {
	p := new(Picture)
	begin, err := p.read(ctx, file)
	if err != nil {
		return nil, err
	}
	p.over = over && !p.progressive // whose tables stand between the scans
	luma := &p.components[0]
	p.across = (p.width + blockSide*luma.h - 1) / (blockSide * luma.h)
	p.down = (p.height + blockSide*luma.v - 1) / (blockSide * luma.v)
	p.stretch = stretchBlocks / luma.h
	p.stretches = (p.across + p.stretch - 1) / p.stretch
	if int64(p.across)*int64(p.down) > int64(len(file)-begin)*8 {
		return nil, ErrOther // too short for a bit each
	}
	for i := range p.components {
		c := &p.components[i]
		p.means = append(p.means, plane{make([]uint8, p.across*c.h*p.down*c.v), p.across * c.h})
	}
	if p.progressive {
		err = p.indexScans(ctx, file, begin)
	} else {
		err = p.indexScan(ctx, file, begin)
	}
	if err != nil {
		return nil, err
	}
	for shift := range p.views {
		if shift < 3 {
			p.parts[shift] = make([]atomic.Pointer[part], p.stretches*p.down)
		}
		p.views[shift].of(p, shift, len(p.components))
		p.lumas[shift].of(p, shift, 1)
	}
	return p, nil
}

// View is the picture at full size for 0, at a half, a quarter and an eighth for 1, 2 and 3.
func (p *Picture) View(shift int) *View { return &p.views[shift] }

// Luma is View in grey, which is quicker.
func (p *Picture) Luma(shift int) *View { return &p.lumas[shift] }

// Bounds, ColorModel and At make it an image.Image.
func (p *Picture) Bounds() image.Rectangle { return image.Rect(0, 0, p.width, p.height) }

// ColorModel is that of JFIF.
func (p *Picture) ColorModel() color.Model { return color.YCbCrModel }

// At is the colour of a pixel. It panics outside of the picture.
func (p *Picture) At(x, y int) color.Color {
	l, b, r := p.views[0].YCC(x, y)
	return color.YCbCr{Y: l, Cb: b, Cr: r}
}

// log is the power of two that n is.
func log(n int) uint { return uint(bits.TrailingZeros(uint(n))) }
