package dng

import (
	"context"
	"errors"
	"math"
	"sync"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/losslessjpeg"
	"huewright/imageio/internal/tiffdir"
	"huewright/internal/parallel"
)

// A layout is how the stored picture is cut: into strips of its whole width or into tiles.
type layout struct {
	wide, high    int // of each part; the last strip may be lower, tiles at the edges are whole
	across, down  int // how many
	offsets, size []uint32
	tiled         bool
}

// mostParts is how many strips or tiles there may be.
const mostParts = 1 << 17

// readLayout reads where strips or tiles lie. That they lie within the file is looked at here: what is cut short is refused before
// memory is taken for it.
func (r *Raw) readLayout(main, _ tiffdir.Directory) error {
	l := layout{wide: r.Wide, high: min(main.Whole(tagRowsPerStrip, r.High), r.High), across: 1}
	offsets, sizes := main.Numbers(tagStripOffsets), main.Numbers(tagStripByteCounts)
	if main.Whole(tagTileWidth, 0) > 0 {
		l.tiled, l.wide, l.high = true, main.Whole(tagTileWidth, 0), main.Whole(tagTileLength, 0)
		offsets, sizes = main.Numbers(tagTileOffsets), main.Numbers(tagTileByteCounts)
	}
	if l.wide < 1 || l.high < 1 || l.wide > mostAcross || l.high > mostAcross {
		return damaged("its parts have no size")
	}
	l.across, l.down = (r.Wide+l.wide-1)/l.wide, (r.High+l.high-1)/l.high
	count := l.across * l.down
	if len(offsets) != count || len(sizes) != count || count > mostParts {
		return damaged("its parts are not as many as it says")
	}
	for i, at := range offsets {
		if !(at >= 0 && sizes[i] >= 0) || at > math.MaxUint32 || sizes[i] > math.MaxUint32 {
			return damaged("its parts lie nowhere")
		}
		size := int64(sizes[i])
		if r.packing == uncompressed {
			if need := int64(r.lineBytes(l.wide)) * int64(l.rows(i/l.across, r.High)); size < need {
				return ErrShort
			}
		}
		if int64(at)+size > int64(len(r.data)) {
			return ErrShort
		}
		l.offsets, l.size = append(l.offsets, uint32(at)), append(l.size, uint32(sizes[i]))
	}
	if area := int64(l.wide) * int64(l.high); area > 4*int64(r.Wide)*int64(r.High)+1<<16 {
		return damaged("its parts are larger than the whole")
	}
	r.parts = l
	return nil
}

// rows is how many rows a strip or tile has that is so many from the top.
func (l *layout) rows(down, high int) int {
	if l.tiled {
		return l.high
	}
	return min(l.high, high-down*l.high)
}

// lineBytes is what a row of so many places takes where it is not compressed: each begins with a byte of its own.
func (r *Raw) lineBytes(wide int) int { return (wide*r.planes*r.bits + 7) / 8 }

// stored decodes the samples, row by row with the planes of a place one after the other, as the linearisation table means them.
func (r *Raw) stored(ctx context.Context) ([]uint16, error) {
	out := make([]uint16, r.Wide*r.High*r.planes)
	l := &r.parts
	count := l.across * l.down
	failed := make([]error, count)
	var buffers sync.Pool // of parts that do not lie whole in the picture
	err := parallel.For(ctx, count, func(i int) {
		buffer, _ := buffers.Get().(*[]uint16)
		if buffer == nil {
			buffer = new([]uint16)
		}
		*buffer, failed[i] = r.part(ctx, i, *buffer, out)
		buffers.Put(buffer)
	})
	if err == nil {
		err = ctx.Err()
	}
	if err == nil {
		err = errors.Join(failed...)
	}
	return out, err
}

// part decodes a strip or tile and puts it where it belongs.
func (r *Raw) part(ctx context.Context, i int, buffer, out []uint16) ([]uint16, error) {
	l := &r.parts
	x0, y0, rows := i%l.across*l.wide, i/l.across*l.high, l.rows(i/l.across, r.High)
	data := bigendian.Part(r.data, int(l.offsets[i]), int(l.size[i]))
	line := l.wide * r.planes
	samples := out[y0*r.Wide*r.planes:]
	whole := l.wide == r.Wide && y0+rows <= r.High // its rows lie one after the other in the picture
	if whole {
		samples = samples[:line*rows]
	} else {
		if cap(buffer) < line*rows {
			buffer = make([]uint16, line*rows)
		}
		samples = buffer[:line*rows]
	}
	if r.packing == losslessJPEG {
		if err := r.unjpeg(ctx, data, samples); err != nil {
			return buffer, err
		}
	} else {
		step := r.lineBytes(l.wide)
		for y := range rows {
			r.unpack(data[y*step:][:step], samples[y*line:][:line])
		}
	}
	r.linearise(samples)
	if !whole {
		wide := min(l.wide, r.Wide-x0) * r.planes
		for y := range min(rows, r.High-y0) {
			copy(out[((y0+y)*r.Wide+x0)*r.planes:][:wide], samples[y*line:])
		}
	}
	return buffer, nil
}

// unjpeg decodes a strip or tile by lossless JPEG. Its lines and components may be cut otherwise than the part's: what counts is
// their order, as cameras keep two columns, or two rows, of a mosaic as components of one place.
func (r *Raw) unjpeg(ctx context.Context, data []byte, samples []uint16) error {
	frame, err := losslessjpeg.Size(data)
	if err == nil && frame.Samples() != len(samples) {
		return damaged("a part is not as large as it says")
	}
	if err == nil {
		const fixed = 1<<24 | 1<<16 // from version 1.1 on
		_, err = losslessjpeg.Decode(ctx, data, samples, losslessjpeg.Options{LongCategory16: r.version != 0 && r.version < fixed})
	}
	switch {
	case err == nil, ctx.Err() != nil:
		return err
	case errors.Is(err, losslessjpeg.ErrShort):
		return ErrShort
	case errors.Is(err, losslessjpeg.ErrOther):
		return &KindError{KindLossy}
	}
	return damaged(err.Error())
}

// linearise puts the table in place of codes, its last entry for those beyond it.
func (r *Raw) linearise(samples []uint16) {
	if r.table == nil {
		return
	}
	last := len(r.table) - 1
	for i, v := range samples {
		samples[i] = r.table[min(int(v), last)]
	}
}
