package evenlight

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// FlatLight is the light over a photo as a second one shows it, of a blank sheet or wall that
// fills the picture under the same light.
type FlatLight struct {
	photo  *imageio.Photo
	origin float64 // the surface's height at the reference
	fit    flatSurface
	rough  float64 // what the surface leaves of the blank sheet, as a standard deviation
}

// How a blank sheet is read, and what is still one. Our own choice; blank paper and plaster
// leave 0.002–0.01 over a smooth surface, wood with grain 0.05 and more.
const (
	flatColumns, flatRows = 32, 24
	flatBlockPoints       = 144  // read in each block, of which the median counts
	flatDegree            = 4    // of the surface, along both ways together
	mostRoughFlat         = 0.04 // of luminance, what a smooth surface may leave
	mostSpoiltFlat        = 0.15 // of the blocks may be off the surface: a nail, a hand, an edge
	mostClippedFlat       = 0.02 // of the points
	flatUnsure            = 0.01 // standard deviation that even the best sheet keeps: it is not quite flat
	mostOtherShape        = 0.02 // by which the two photos' sides may differ in proportion
)

// ReadFlat reads the light over p from the photo of a blank sheet or wall, relative to that at
// the reference, or to the mean of several. The correction is that of p: it takes both photos to linear light, and does
// so whatever the exposure of the second. A photo that cannot be of a blank sheet is a
// *PhotoError.
func ReadFlat(ctx context.Context, p *imageio.Photo, flat *imageio.Photo, correction *camera.Correction, reference ...imageio.Point) (*FlatLight, error) {
	fail := func(advice, problem string, args ...any) (*FlatLight, error) {
		return nil, &imageio.PhotoError{Path: flat.Path, Problem: fmt.Sprintf(problem, args...), Advice: advice}
	}
	shape := float64(flat.Width) * float64(p.Height) / (float64(flat.Height) * float64(p.Width))
	if math.Abs(math.Log(shape)) > mostOtherShape {
		return fail("take both with the same camera from the same place, held the same way",
			"as a blank sheet it is %d × %d, which is another shape than the photo's %d × %d", flat.Width, flat.Height, p.Width, p.Height)
	}
	blocks, clipped, err := flatBlocks(ctx, flat, correction)
	if err != nil {
		return nil, err
	}
	if clipped > mostClippedFlat {
		return fail("take it again with less exposure, so that the sheet shows as light grey", "%.0f %% of the blank sheet is burnt out", 100*clipped)
	}
	fit, rough, spoilt := fitFlat(blocks)
	if rough > mostRoughFlat || spoilt > mostSpoiltFlat {
		return fail("let one sheet of plain paper or a bare wall fill the whole picture, in the light of the photo",
			"does not look like a blank sheet: its light goes up and down by %.0f %%, and %.0f %% of it is off any smooth change", 100*rough, 100*spoilt)
	}
	l := &FlatLight{photo: p, fit: fit, rough: rough}
	for _, at := range reference {
		l.origin += fit.height(l.place(at)) / float64(len(reference))
	}
	return l, nil
}

// Check holds the light against slips in the photo itself: what it leaves between those of one
// lightness it cannot be trusted beyond.
func (l *FlatLight) Check(slips []SeenSlip, correction *camera.Correction) {
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

// Log is that of Light.
func (l *FlatLight) Log(at imageio.Point) float64 { return l.fit.height(l.place(at)) - l.origin }

// Unsure is that of Light.
func (l *FlatLight) Unsure(imageio.Point) float64 { return math.Hypot(flatUnsure, l.rough) }

// UnsureBetween is that of Light.
func (l *FlatLight) UnsureBetween(a, b imageio.Point) float64 { return l.Unsure(a) }

// place is where a point is on a square from −1 to 1, whatever the size of the photo: on the
// photo of the sheet it is the same.
func (l *FlatLight) place(at imageio.Point) imageio.Point {
	return imageio.Point{X: 2*at.X/float64(l.photo.Width) - 1, Y: 2*at.Y/float64(l.photo.Height) - 1}
}

type flatBlock struct {
	at  imageio.Point // from −1 to 1
	log float64
}

// flatBlocks takes the median luminance of each block, which no speck or joint moves.
func flatBlocks(ctx context.Context, p *imageio.Photo, correction *camera.Correction) ([]flatBlock, float64, error) {
	blocks := make([]flatBlock, flatColumns*flatRows)
	clipped := make([]int, len(blocks))
	const side = 12
	if err := parallel.Ranges(ctx, len(blocks), 8, func(from, to int) {
		for i := from; i < to; i++ {
			column, row := i%flatColumns, i/flatColumns
			var lights []float64
			for k := range flatBlockPoints {
				u := (float64(column) + (float64(k%side)+0.5)/side) / flatColumns
				v := (float64(row) + (float64(k/side)+0.5)/side) / flatRows
				x, y := int(u*float64(p.Width)), int(v*float64(p.Height))
				if p.Clipped(x, y) {
					clipped[i]++
				}
				lights = append(lights, correction.Apply(p.Linear(x, y)).Y)
			}
			blocks[i] = flatBlock{
				imageio.Point{X: 2*(float64(column)+0.5)/flatColumns - 1, Y: 2*(float64(row)+0.5)/flatRows - 1},
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
	return blocks, float64(sum) / float64(len(blocks)*flatBlockPoints), nil
}

// flatSurface is a polynomial in x and y, by Legendre's polynomials, which keep its
// coefficients apart.
type flatSurface []float64

func (s flatSurface) height(at imageio.Point) float64 {
	sum := 0.0
	for k, v := range flatTerms(at) {
		sum += s[k] * v
	}
	return sum
}

func flatTerms(at imageio.Point) []float64 {
	legendre := func(x float64) [flatDegree + 1]float64 {
		p := [flatDegree + 1]float64{1, x}
		for n := 1; n < flatDegree; n++ {
			p[n+1] = (float64(2*n+1)*x*p[n] - float64(n)*p[n-1]) / float64(n+1)
		}
		return p
	}
	x, y := legendre(at.X), legendre(at.Y)
	var terms []float64
	for i := range x {
		for k := range flatDegree + 1 - i {
			terms = append(terms, x[i]*y[k])
		}
	}
	return terms
}

// fitFlat fits the surface by weights that leave out what is far off it, taken anew a few
// times. It returns what the blocks that count keep over the surface, as a standard deviation,
// and the share of blocks that do not count.
//
// Source of the weights: Beaton and Tukey (1974), Technometrics 16(2), 147–185, with the
// usual 4.685 of their scale (from memory).
func fitFlat(blocks []flatBlock) (fit flatSurface, rough, spoilt float64) {
	weights := make([]float64, len(blocks))
	for i := range weights {
		weights[i] = 1
	}
	misses := make([]float64, len(blocks))
	for range 8 {
		fit = weighedFlat(blocks, weights)
		for i, b := range blocks {
			misses[i] = math.Abs(b.log - fit.height(b.at))
		}
		scale := max(1.4826*stat.Quantile(misses, 0.5), 0.001)
		for i, miss := range misses {
			t := miss / (4.685 * scale)
			weights[i] = max(0, 1-t*t) * max(0, 1-t*t)
		}
		rough = scale
	}
	for _, miss := range misses {
		if miss > max(4.685*rough, mostRoughFlat) {
			spoilt += 1 / float64(len(misses))
		}
	}
	return fit, rough, spoilt
}

func weighedFlat(blocks []flatBlock, weights []float64) flatSurface {
	n := len(flatTerms(imageio.Point{}))
	a, b := mat.NewDense(len(blocks), n, nil), mat.NewVecDense(len(blocks), nil)
	for i, block := range blocks {
		w := math.Sqrt(weights[i])
		for k, v := range flatTerms(block.at) {
			a.Set(i, k, w*v)
		}
		b.SetVec(i, w*block.log)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return make(flatSurface, n) // so much of the picture was left out that nothing holds it: rough will say so
	}
	return x.RawVector().Data
}
