//go:build !js

package container

import (
	"context"
	"errors"
	"image"
	"runtime"
	"slices"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/sandbox"
	"huewright/internal/parallel"
)

// A heicGrid is a picture that is made of tiles of one size, row by row, as phones save theirs, and is then turned.
type heicGrid struct {
	tiles               []uint32 // items
	columns, wide, high int      // before it is turned; beyond that, tiles are cut off
	tileWide, tileHigh  int
	turns               int // quarter turns anticlockwise
}

// gridOf is the grid that the primary picture of a file is; not ok for any other picture, and for what is rare in grids: odd sizes, where
// turning would shift colours against luma, and mirrored or cropped ones.
//
// Source: ISO/IEC 23008-12, 6.6.2.3 (grids), 6.5.10 (rotation).
func gridOf(items *heifItems, data []byte) (g heicGrid, ok bool) {
	said := items.dataOf(items.primary, data)
	if items.kinds[items.primary] != "grid" || len(said) < 8 {
		return g, false
	}
	size := 2 << (said[1] & 1)
	if len(said) < 4+2*size {
		return g, false
	}
	rows := 1 + int(said[2])
	g = heicGrid{
		tiles: items.parts[items.primary], columns: 1 + int(said[3]),
		wide: int(bigendian.Uint(said, 4, size)), high: int(bigendian.Uint(said, 4+size, size)),
	}
	for _, p := range items.properties() {
		switch p.kind {
		case "imir", "clap":
			return g, false
		case "irot":
			if len(p.body) < 1 {
				return g, false
			}
			g.turns = int(p.body[0] & 3)
		}
	}
	if len(g.tiles) != rows*g.columns || !g.readTiles(items) {
		return g, false
	}
	even := (g.wide|g.high|g.tileWide|g.tileHigh)&1 == 0
	whole := g.wide > 0 && g.wide <= g.columns*g.tileWide && g.high > 0 && g.high <= rows*g.tileHigh
	return g, even && whole
}

// readTiles reads how large the tiles are, and reports whether they are all alike.
func (g *heicGrid) readTiles(items *heifItems) bool {
	for i, tile := range g.tiles {
		wide, high := 0, 0
		for _, p := range items.propertiesOf(tile) {
			switch {
			case p.kind == "irot", p.kind == "imir", p.kind == "clap":
				return false
			case p.kind == "ispe" && len(p.body) >= 12:
				wide, high = int(bigendian.Uint32(p.body, 4)), int(bigendian.Uint32(p.body, 8))
			}
		}
		if i == 0 {
			g.tileWide, g.tileHigh = wide, high
		}
		if items.kinds[tile] != "hvc1" || wide != g.tileWide || high != g.tileHigh {
			return false
		}
	}
	return true
}

// mostWorkers is how many tiles are decoded at a time at most: each worker has a memory of its own.
const mostWorkers = 4

// decodeTiles decodes the tiles of a picture that is made of them, several at a time, which share the memory. It is nil where the picture
// is no such one, or something is wrong with it: then the decoder is asked for all of it.
//
// Note: asked for all of it, the decoder works out red, green and blue, cuts them off and goes back, and decodes one tile after the other.
func decodeTiles(ctx context.Context, items *heifItems, data []byte, most uint64) image.Image {
	g, ok := gridOf(items, data)
	if !ok {
		return nil
	}
	layout := heicLayout{wide: g.wide, high: g.high, colours: heicYCbCr, ratio: image.YCbCrSubsampleRatio420}
	if g.turns&1 == 1 {
		layout.wide, layout.high = g.high, g.wide
	}
	picture := layout.picture(make([]byte, layout.size())).(*image.YCbCr)
	with := func(workers int) error {
		return parallel.Each(ctx, workers, func(worker int) error {
			return heicDecoder.Run(ctx, most/uint64(workers), func(in *sandbox.Instance) error {
				return g.decode(in, data, picture, worker, workers)
			})
		})
	}
	err := with(min(runtime.GOMAXPROCS(0), len(g.tiles), mostWorkers))
	if errors.Is(err, sandbox.ErrMemory) {
		err = with(1) // so that the pixels do not depend on the number of processors
	}
	if err != nil {
		return nil
	}
	return picture
}

// decode decodes every so manieth tile from a first one into a picture.
func (g *heicGrid) decode(in *sandbox.Instance, data []byte, picture *image.YCbCr, first, step int) error {
	data = slices.Clone(data)
	copy(data[8:12], "heic")
	unhide(data)
	file, err := putHEIC(in, data)
	if err != nil {
		return err
	}
	want := heicLayout{wide: g.tileWide, high: g.tileHigh, colours: heicYCbCr, ratio: image.YCbCrSubsampleRatio420}
	out, err := in.Alloc(want.size())
	if err != nil {
		return err
	}
	for i := first; i < len(g.tiles); i += step {
		there, err := in.Bytes(file.at, file.size) // anew: growing may have moved it
		if err != nil {
			return err
		}
		makePrimary(there, g.tiles[i])
		if layout, err := file.layout(); err != nil || layout != want {
			return errUndecodable
		}
		if err := file.decode(out); err != nil {
			return err
		}
		pixels, err := in.Bytes(out, want.size())
		if err != nil {
			return err
		}
		g.lay(picture, want.picture(pixels).(*image.YCbCr), i)
	}
	return nil
}

// lay puts a tile in its place.
func (g *heicGrid) lay(picture, tile *image.YCbCr, i int) {
	x, y := i%g.columns*g.tileWide, i/g.columns*g.tileHigh
	turned(picture.Y, picture.YStride, g.wide, g.high, g.turns, tile.Y, tile.YStride, g.tileWide, g.tileHigh, x, y)
	for _, plane := range [2][2][]byte{{picture.Cb, tile.Cb}, {picture.Cr, tile.Cr}} {
		turned(plane[0], picture.CStride, g.wide/2, g.high/2, g.turns, plane[1], tile.CStride, g.tileWide/2, g.tileHigh/2, x/2, y/2)
	}
}

// turned copies a plane of a tile, whose top left corner is at x, y of a picture of a size, to where it is once that picture has been
// turned.
func turned(to []byte, toStride, wide, high, turns int, from []byte, fromStride, tileWide, tileHigh, x, y int) {
	n := min(tileWide, wide-x)
	for row := range min(tileHigh, high-y) {
		line := from[row*fromStride:][:n]
		// Where the line begins, and how far it is from one of its pixels to the next.
		var at, step int
		switch v := y + row; turns {
		case 0:
			copy(to[v*toStride+x:], line)
			continue
		case 1:
			at, step = (wide-1-x)*toStride+v, -toStride
		case 2:
			at, step = (high-1-v)*toStride+wide-1-x, -1
		case 3:
			at, step = x*toStride+high-1-v, toStride
		}
		for k, value := range line {
			to[at+k*step] = value
		}
	}
}

// unhide has a decoder take each item of a file for a picture that may be asked for: tiles are hidden, and a hidden one cannot be primary.
//
// Source: ISO/IEC 23008-12, 6.4.2.
func unhide(data []byte) {
	list, _ := metaBoxes(data)
	for _, b := range entriesOf(find(list, "iinf")) {
		if b.kind == "infe" && len(b.body) >= 4 {
			b.body[3] &^= 1
		}
	}
}
