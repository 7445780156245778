package evenlight

import (
	"context"
	"math"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A FlatField is the light over a photo as a second one shows it, of a blank sheet or wall that fills the picture
// under the same light. It is an [imageio.Light].
type FlatField struct {
	photo  *imageio.Photo
	origin float64 // the surface's height at the reference
	fit    surface
	rough  float64 // what the surface leaves of the blank sheet, as a standard deviation
}

// How a blank sheet is read, and what is still one. Our own choice; blank paper and plaster
// leave 0.002–0.01 over a smooth surface, wood with grain 0.05 and more: see mostRough.
const (
	blockColumns, blockRows = 32, 24
	blockPoints             = 144  // read in each block, of which the median counts
	mostSpoilt              = 0.15 // of the blocks may be off the surface: a nail, a hand, an edge
	mostClipped             = 0.02 // of the points
	flatUnsure              = 0.01 // standard deviation that even the best sheet keeps: it is not quite flat
	mostOtherShape          = 0.02 // by which the two photos' sides may differ in proportion
)

// ReadFlatField reads the light over p from the photo of a blank sheet or wall, relative to that at the reference,
// or to the mean of several. The correction is that of p: it takes both photos to linear light, whatever the
// exposure of the second. A photo that cannot be of a blank sheet is a fault of kind Photo.
func ReadFlatField(
	ctx context.Context, p, flat *imageio.Photo, correction *camera.Correction, reference ...imageio.Point,
) (*FlatField, error) {
	fail := func(f *fault.Fault) (*FlatField, error) { return nil, fault.In(f, fault.Place{File: flat.Path}) }
	shape := float64(flat.Width) * float64(p.Height) / (float64(flat.Height) * float64(p.Width))
	if math.Abs(math.Log(shape)) > mostOtherShape {
		return fail(fault.New(fault.Photo, "blank.other-shape", "wide", flat.Width, "high", flat.Height,
			"photo-wide", p.Width, "photo-high", p.Height))
	}
	blocks, clipped, err := readBlocks(ctx, flat, correction)
	if err != nil {
		return nil, err
	}
	if clipped > mostClipped {
		return fail(fault.New(fault.Photo, "blank.burnt-out", "share", clipped))
	}
	fit, rough, spoilt := fitSurface(blocks)
	if rough > mostRough || spoilt > mostSpoilt {
		return fail(fault.New(fault.Photo, "blank.not-blank", "rough", rough, "spoilt", spoilt))
	}
	l := &FlatField{photo: p, fit: fit, rough: rough}
	for _, at := range reference {
		l.origin += fit.height(l.place(at)) / float64(len(reference))
	}
	return l, nil
}

// Check compares the light with slips in the photo itself: the field is at least as unsure as the slips of one
// lightness differ in the light it gives.
func (l *FlatField) Check(slips []SeenSlip, correction *camera.Correction) {
	spots := lightSpots(l.photo, slips, correction)
	means, counts := map[int]float64{}, map[int]float64{}
	for i := range spots {
		spots[i].Log -= l.Log(slips[i].At)
		means[spots[i].Sheet] += spots[i].Log
		counts[spots[i].Sheet]++
	}
	sum, free := 0.0, -float64(len(means))
	for _, s := range spots {
		miss := s.Log - means[s.Sheet]/counts[s.Sheet]
		sum, free = sum+miss*miss, free+1
	}
	if free > 0 {
		l.rough = max(l.rough, math.Sqrt(sum/free))
	}
}

// Log is that of [imageio.Light].
func (l *FlatField) Log(at imageio.Point) float64 { return l.fit.height(l.place(at)) - l.origin }

// Unsure is that of [imageio.Light].
func (l *FlatField) Unsure(imageio.Point) float64 { return math.Hypot(flatUnsure, l.rough) }

// UnsureBetween is that of [imageio.Light].
func (l *FlatField) UnsureBetween(a, b imageio.Point) float64 { return l.Unsure(a) }

// place is where a point is on a square from −1 to 1: on the photo of the sheet, whatever its size, it is the
// same.
func (l *FlatField) place(at imageio.Point) imageio.Point {
	return imageio.Point{X: 2*at.X/float64(l.photo.Width) - 1, Y: 2*at.Y/float64(l.photo.Height) - 1}
}

// readBlocks takes the median luminance of each block, which no speck or joint moves.
func readBlocks(ctx context.Context, p *imageio.Photo, correction *camera.Correction) ([]block, float64, error) {
	blocks := make([]block, blockColumns*blockRows)
	clipped := make([]int, len(blocks))
	const side = 12
	if err := parallel.Ranges(ctx, len(blocks), 8, func(from, to int) {
		for i := from; i < to; i++ {
			column, row := i%blockColumns, i/blockColumns
			var lights []float64
			for k := range blockPoints {
				u := (float64(column) + (float64(k%side)+0.5)/side) / blockColumns
				v := (float64(row) + (float64(k/side)+0.5)/side) / blockRows
				x, y := int(u*float64(p.Width)), int(v*float64(p.Height))
				if p.Clipped(x, y) {
					clipped[i]++
				}
				lights = append(lights, correction.Apply(p.Linear(x, y)).Y)
			}
			blocks[i] = block{
				imageio.Point{X: 2*(float64(column)+0.5)/blockColumns - 1, Y: 2*(float64(row)+0.5)/blockRows - 1},
				math.Log(max(stat.Quantile(lights, 0.5), 1e-4)),
			}
		}
	}); err != nil {
		return nil, 0, err
	}
	sum := 0
	for _, n := range clipped {
		sum += n
	}
	return blocks, float64(sum) / float64(len(blocks)*blockPoints), nil
}
