package dng

import (
	"context"
	"image"
	"image/color"

	"huewright/internal/parallel"
)

// A Picture is what a sensor recorded, in linear light, as codes of 16 bits: three a pixel, red, green and blue, row by row. It is as
// stored, before Orientation.
type Picture struct {
	Width, Height int
	Codes         []uint16
	Unit          float64 // codes to the light that fills the sensor
}

const (
	// BlackCode stands for no light: noise about it is kept on both sides, as an average needs it.
	BlackCode = 1024
	// FullCode stands for a sample that the sensor could not hold, whatever light that was.
	FullCode = 1<<16 - 1
	// fullShare of the most that a sensor records is taken to be all of it: sensors do not end at one code. Our own choice.
	fullShare = 0.98
)

// Light is the light of a code; that which fills the sensor where no lens darkens it is 1.
func (p *Picture) Light(code uint16) float64 { return (float64(code) - BlackCode) / p.Unit }

// ColorModel, Bounds and At make it an image.Image, of codes rather than colours.
func (p *Picture) ColorModel() color.Model { return color.NRGBA64Model }

// Bounds is its size, from 0.
func (p *Picture) Bounds() image.Rectangle { return image.Rect(0, 0, p.Width, p.Height) }

// At is a pixel.
func (p *Picture) At(x, y int) color.Color {
	c := p.Codes[3*(y*p.Width+x):]
	return color.NRGBA64{c[0], c[1], c[2], 0xffff}
}

// Size is that of the picture that Decode makes.
func (r *Raw) Size() (wide, high int) {
	if r.mosaic() {
		return r.crop.wide() / 2, r.crop.high() / 2
	}
	return r.crop.wide(), r.crop.high()
}

// Memory is how many bytes Decode takes beside the file.
func (r *Raw) Memory() int64 {
	wide, high := r.Size()
	const workers = 8 // that hold a tile each, about
	tile := int64(0)
	if r.parts.tiled {
		tile = 2 * int64(r.parts.wide) * int64(r.parts.high) * int64(r.planes)
	}
	return 2*int64(r.Wide)*int64(r.High)*int64(r.planes) + 6*int64(wide)*int64(high) + workers*min(tile, 1<<22) + tile
}

// Decode decodes the samples and puts them together. The error is ErrShort, ErrDamaged, a *KindError or that of the context.
func (r *Raw) Decode(ctx context.Context) (*Picture, error) {
	stored, err := r.stored(ctx)
	if err != nil {
		return nil, err
	}
	p := &Picture{Unit: (FullCode - 1 - BlackCode) / r.shading.most}
	p.Width, p.Height = r.Size()
	p.Codes = make([]uint16, 3*p.Width*p.Height)
	err = parallel.Ranges(ctx, p.Height, 64, func(from, to int) {
		w := r.newReducer(stored, p)
		for y := from; y < to; y++ {
			if r.mosaic() {
				w.cells(y)
			} else {
				w.places(y)
			}
		}
	})
	if err != nil {
		return nil, err
	}
	return p, nil
}

// A reducer makes rows of a picture of rows of samples.
type reducer struct {
	*Raw
	stored          []uint16
	to              *Picture
	black           []float32    // of a row of the active area
	lines           [2][]float32 // rows of the crop, 1 where the sensor is full
	full            [2][]bool
	colours         []float32 // a row of the picture
	byStored, byRGB []*gainLine
	x0, y0          int // the crop in the active area
}

func (r *Raw) newReducer(stored []uint16, p *Picture) *reducer {
	w := &reducer{Raw: r, stored: stored, to: p, x0: r.crop.left - r.active.left, y0: r.crop.top - r.active.top}
	w.black = make([]float32, r.active.wide()*r.planes)
	for i := range w.lines {
		w.lines[i], w.full[i] = make([]float32, r.crop.wide()*r.planes), make([]bool, r.crop.wide()*r.planes)
	}
	w.colours = make([]float32, 3*p.Width)
	for i := range r.shading.stored {
		w.byStored = append(w.byStored, r.shading.stored[i].lines(r.active.wide(), r.active.high()))
	}
	for i := range r.shading.colours {
		w.byRGB = append(w.byRGB, r.shading.colours[i].lines(r.active.wide(), r.active.high()))
	}
	return w
}

// row reads row y of the crop into one of the lines.
func (w *reducer) row(y, line int) {
	r := w.Raw
	r.levels.line(w.y0+y, r.active.wide(), r.planes, w.black)
	black := w.black[w.x0*r.planes:]
	stored := w.stored[((r.crop.top+y)*r.Wide+r.crop.left)*r.planes:][:r.crop.wide()*r.planes]
	out, full := w.lines[line], w.full[line]
	share := [3]float32{float32(r.levels.share[0]), float32(r.levels.share[1]), float32(r.levels.share[2])}
	if r.planes == 1 {
		k := share[0]
		for i, v := range stored {
			light := (float32(v) - black[i]) * k
			out[i], full[i] = light, light >= fullShare
		}
	} else {
		for i, v := range stored {
			light := (float32(v) - black[i]) * share[i%3]
			out[i], full[i] = light, light >= fullShare
		}
	}
	for _, gains := range w.byStored {
		gains.multiply(out, w.x0, w.y0+y, r.planes)
	}
}

// cells makes row y of the picture of cells of 2 × 2 samples.
func (w *reducer) cells(y int) {
	w.row(2*y, 0)
	w.row(2*y+1, 1)
	// Which sample of a cell has which colour, where the crop begins.
	var at [3][]int
	for i := range 4 {
		down, right := (i/2+w.y0)%2, (i%2+w.x0)%2
		c := w.Raw.cells[2*down+right]
		at[c] = append(at[c], i)
	}
	red, blue, greens := at[0][0], at[2][0], at[1]
	out, full := w.colours, w.full
	for x := range w.to.Width {
		get := func(i int) float32 { return w.lines[i/2][2*x+i%2] }
		out[3*x], out[3*x+1], out[3*x+2] = get(red), (get(greens[0])+get(greens[1]))/2, get(blue)
	}
	w.shadeColours(y, 2)
	codes := w.to.Codes[3*w.to.Width*y:][:3*w.to.Width]
	w.encode(codes)
	for x := range w.to.Width {
		if !(full[0][2*x] || full[0][2*x+1] || full[1][2*x] || full[1][2*x+1]) {
			continue
		}
		for c, places := range at {
			for _, i := range places {
				if full[i/2][2*x+i%2] {
					codes[3*x+c] = FullCode
				}
			}
		}
	}
}

// places makes row y of the picture of samples of all three colours.
func (w *reducer) places(y int) {
	w.row(y, 0)
	copy(w.colours, w.lines[0])
	w.shadeColours(y, 1)
	codes := w.to.Codes[3*w.to.Width*y:][:3*w.to.Width]
	w.encode(codes)
	for i := range codes {
		if w.full[0][i] {
			codes[i] = FullCode
		}
	}
}

// shadeColours multiplies a row of red, green and blue by the maps that are for them, each pixel by what holds at the first of its
// cell × cell places.
func (w *reducer) shadeColours(y, cell int) {
	if len(w.byRGB) == 0 {
		return
	}
	if cell == 1 {
		for _, gains := range w.byRGB {
			gains.multiply(w.colours, w.x0, w.y0+y, 3)
		}
		return
	}
	wide := make([]float32, 3*cell*w.to.Width)
	for i := range wide {
		wide[i] = 1
	}
	for _, gains := range w.byRGB {
		gains.multiply(wide, w.x0, w.y0+cell*y, 3)
	}
	for i := range w.colours {
		w.colours[i] *= wide[cell*(i/3)*3+i%3]
	}
}

// encode writes light as codes.
func (w *reducer) encode(codes []uint16) {
	unit := float32(w.to.Unit)
	for i, light := range w.colours {
		codes[i] = uint16(min(max(light*unit+(BlackCode+0.5), 0), FullCode-1))
	}
}
