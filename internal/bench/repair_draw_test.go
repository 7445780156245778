package bench

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"

	"huewright/colour"
	"huewright/imageio"
)

// A Filling is what was done to the spot that a drawn repair is in.
type Filling int

// What a repair may be: nothing at all, so that it is the wood itself; the wood moved in colour; a
// fill of one colour, the mean of what was there; wood with a line round it.
const (
	Untouched Filling = iota
	Moved
	Flat
	Lined
)

// RepairOptions says which repair is drawn.
type RepairOptions struct {
	Seed    uint64
	Wood    int // 0 – Woods−1
	Filling Filling
	Shift   float64 // ΔE00 of Moved, in a direction of its own
}

// Woods is how many woods repairs are drawn in: ash and sapele, each sawn both ways, and a darker
// wood with the grain of each.
const Woods = 6

// A Repair is a drawn board with a repair whose truth is known.
type Repair struct {
	PNG     []byte // 16 bits, in even light, colours as they are
	Outline imageio.Outline
	MM      float64 // of one pixel
	Along   float64 // direction of the grain in degrees, 0 to the right, 90 downwards
	Shift   float64 // ΔE00 of the mean that Moved came to
}

const (
	repairSide  = 340 // pixels
	repairPixel = 0.6 // mm
	boardHalf   = 150 // mm, from the board's middle to where the repair may be at most
)

// DrawRepair draws a board of wood with a repair in its middle.
func DrawRepair(opt RepairOptions) *Repair {
	rng := rand.New(rand.NewPCG(opt.Seed, 0x4e9a))
	sp, c, lignin, extractive := ash, cut(opt.Wood%2), 1.0, 1.0
	switch opt.Wood / 2 {
	case 1:
		sp = sapele
	case 2:
		lignin, extractive = 1.7, 1.3
		if opt.Wood%2 == 1 {
			sp, lignin, extractive = sapele, 1.5, 0.4
		}
	}
	along := 180 * rng.Float64()
	// The repair may be anywhere on its board: in the middle there are the arches' tops and the
	// corners of the noise, like nowhere round it.
	middle := repairSide * repairPixel / 2
	b := newBoard(rng, middle+boardHalf*(2*rng.Float64()-1), middle+boardHalf*(2*rng.Float64()-1), along, c, sp.ringWidth)
	level := sp.palette(lignin*math.Exp(0.06*rng.NormFloat64()), extractive*math.Exp(0.06*rng.NormFloat64()))
	var labs [levels]colour.Lab
	for i := range labs {
		labs[i] = level[i].Lab()
	}
	at := imageio.Point{X: repairSide * (0.42 + 0.16*rng.Float64()), Y: repairSide * (0.42 + 0.16*rng.Float64())}
	r := &Repair{MM: repairPixel, Outline: anyBlob(rng, at, 20), Along: math.Mod(math.Atan2(b.sin, b.cos)*180/math.Pi+360, 180)}
	inside := blobOf(r.Outline)
	wood := make([]colour.Lab, repairSide*repairSide)
	for i := range wood {
		x, y := repairPixel*(float64(i%repairSide)+0.5), repairPixel*(float64(i/repairSide)+0.5)
		wood[i] = labs[min(int(sp.grain(b, x, y)*levels), levels-1)]
	}
	if opt.Filling != Untouched {
		r.fill(opt, rng, wood, inside)
	}
	img := image.NewNRGBA64(image.Rect(0, 0, repairSide, repairSide))
	for i, c := range wood {
		c.L += 0.3 * rng.NormFloat64() // the sensor's
		rgb := c.LinearRGB()
		code := func(v float64) uint16 { return uint16(65535*encode(clamp01(v)) + 0.5) }
		img.SetNRGBA64(i%repairSide, i/repairSide, color.NRGBA64{R: code(rgb.R), G: code(rgb.G), B: code(rgb.B), A: 65535})
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		panic(err) // into memory
	}
	r.PNG = out.Bytes()
	return r
}

// fill does to the wood inside what was asked.
func (r *Repair) fill(opt RepairOptions, rng *rand.Rand, wood []colour.Lab, inside func(i int) float64) {
	var mean colour.Lab
	n := 0.0
	for i, c := range wood {
		if inside(i) <= 0 {
			mean.L, mean.A, mean.B, n = mean.L+c.L, mean.A+c.A, mean.B+c.B, n+1
		}
	}
	mean = colour.Lab{L: mean.L / n, A: mean.A / n, B: mean.B / n}
	switch opt.Filling {
	case Moved:
		by := shiftOf(rng, mean, opt.Shift)
		for i := range wood {
			if inside(i) <= 0 {
				wood[i] = colour.Lab{L: wood[i].L + by.L, A: wood[i].A + by.A, B: wood[i].B + by.B}
			}
		}
		r.Shift = colour.DeltaE2000(mean, colour.Lab{L: mean.L + by.L, A: mean.A + by.A, B: mean.B + by.B})
	case Flat:
		for i := range wood {
			if inside(i) <= 0 {
				wood[i] = mean
			}
		}
	case Lined:
		for i := range wood {
			if math.Abs(inside(i)) < 1.5 {
				wood[i].L -= 6
			}
		}
	}
}

// shiftOf is a step in a random direction of so much ΔE00.
func shiftOf(rng *rand.Rand, from colour.Lab, deltaE float64) colour.Lab {
	d := [3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
	size := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
	at := func(t float64) colour.Lab {
		return colour.Lab{L: t * d[0] / size, A: t * d[1] / size, B: t * d[2] / size}
	}
	t := solveRising(0, 10*deltaE+1, func(t float64) float64 {
		s := at(t)
		return colour.DeltaE2000(from, colour.Lab{L: from.L + s.L, A: from.A + s.A, B: from.B + s.B}) - deltaE
	})
	return at(t)
}

// anyBlob is an irregular shape about a place, of a mean radius in pixels.
func anyBlob(rng *rand.Rand, at imageio.Point, radius float64) (o imageio.Outline) {
	const corners = 24
	n := noise(rng.Uint64())
	long := math.Exp(0.25 * rng.NormFloat64())
	for i := range corners {
		angle := 2 * math.Pi * float64(i) / corners
		far := radius * (1 + 0.25*n.line(3+2*math.Cos(angle)) + 0.2*n.line(9+2*math.Sin(angle)))
		o.Points = append(o.Points, imageio.Point{
			X: math.Round(10*(at.X+far*long*math.Cos(angle))) / 10,
			Y: math.Round(10*(at.Y+far/long*math.Sin(angle))) / 10,
		})
	}
	return o
}

// blobOf tells, for each pixel, how far outside an outline it is, in pixels; below 0 inside.
func blobOf(o imageio.Outline) func(i int) float64 {
	s := make(shape, len(o.Points))
	for i, p := range o.Points {
		s[i] = spot{p.X, p.Y}
	}
	return func(i int) float64 {
		x, y := float64(i%repairSide)+0.5, float64(i/repairSide)+0.5
		least := math.Inf(1)
		for k, a := range s {
			b := s[(k+1)%len(s)]
			t := clamp01(((x-a.x)*(b.x-a.x) + (y-a.y)*(b.y-a.y)) / ((b.x-a.x)*(b.x-a.x) + (b.y-a.y)*(b.y-a.y)))
			least = min(least, math.Hypot(x-a.x-t*(b.x-a.x), y-a.y-t*(b.y-a.y)))
		}
		if s.contains(x, y) {
			return -least
		}
		return least
	}
}
