package slip_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/slip"
)

// A printer is what becomes of a slip on paper. No printer is at hand: these are models, whose figures are our own choice after
// what is commonly said of such printers (black of inkjets on plain paper near L* 30, of toner near L* 15).
type printer struct {
	name  string
	paper colour.LinearRGB // reflectance
	ink   colour.LinearRGB // of full ink, reflectance that is left
	gain  float64          // how much more of the paper half a tone covers, 0–0.3
	grow  float64          // by how much marks grow on all sides, mm
	dull  float64          // share of its colour that a tone loses
	speck float64          // of the ink's density, from place to place
}

var printers = []printer{
	{"inkjet", colour.LinearRGB{R: 0.86, G: 0.87, B: 0.90}, colour.LinearRGB{R: 0.065, G: 0.062, B: 0.064}, 0.18, 0.10, 0.25, 0.02},
	{"toner", colour.LinearRGB{R: 0.83, G: 0.83, B: 0.82}, colour.LinearRGB{R: 0.021, G: 0.020, B: 0.021}, 0.24, 0.05, 0.08, 0.01},
	{"pale inkjet", colour.LinearRGB{R: 0.80, G: 0.79, B: 0.74}, colour.LinearRGB{R: 0.10, G: 0.092, B: 0.085}, 0.06, 0.03, 0.40, 0.03},
}

// reflectance is what a tone becomes on paper: each channel's ink covers a share of the paper, and somewhat more than it was to.
// Source of the mixing: Murray (1936), J. Franklin Inst. 221(6), 721–744.
func (p *printer) reflectance(tone colour.RGB8) colour.LinearRGB {
	c := tone.Linear()
	grey := c.Luminance()
	one := func(v, paper, ink float64) float64 {
		v = v + p.dull*(grey-v)
		covered := 1 - v
		covered += p.gain * 4 * covered * (1 - covered) * v
		return paper*(1-covered) + paper*ink*covered
	}
	return colour.LinearRGB{R: one(c.R, p.paper.R, p.ink.R), G: one(c.G, p.paper.G, p.ink.G), B: one(c.B, p.paper.B, p.ink.B)}
}

// A print is a slip on paper.
type print struct {
	marks []slip.Mark
	tones map[colour.RGB8]colour.LinearRGB
	by    *printer
}

func newPrint(d slip.Design, by *printer) *print {
	p := &print{marks: d.Marks(), tones: map[colour.RGB8]colour.LinearRGB{}, by: by}
	for _, m := range p.marks {
		p.tones[m.Tone.RGB] = by.reflectance(m.Tone.RGB)
	}
	return p
}

// at is the reflectance at a place, in mm from the frame's corner; false beyond the cut.
func (p *print) at(x, y float64) (colour.LinearRGB, bool) {
	if min(x, y) < -slip.Margin || max(x, y) > slip.Side+slip.Margin {
		return colour.LinearRGB{}, false
	}
	g := p.by.grow
	for _, m := range p.marks {
		if x > m.X-g && y > m.Y-g && x < m.X+m.Wide+g && y < m.Y+m.High+g {
			return p.tones[m.Tone.RGB], true
		}
	}
	return p.by.paper, true
}

// A pose is a slip before a pinhole camera: on a cylinder where it curls.
type pose struct {
	x, y     float64 // where its middle is seen, pixels
	pixels   float64 // how wide its frame would be face on
	tilt     float64 // radians, about the axis
	axis     float64
	roll     float64
	distance float64 // of the camera, in widths of the frame
	curl     float64 // 1 over the radius, in widths of the frame
	curlAxis float64
	turns    [4][2]float64 // sine and cosine of curlAxis, roll, axis and tilt
}

// at is the pose with its middle at a place.
func (p pose) at(x, y float64) pose {
	p.x, p.y = x, y
	for i, angle := range [4]float64{p.curlAxis, p.roll, p.axis, p.tilt} {
		p.turns[i][0], p.turns[i][1] = math.Sincos(angle)
	}
	return p
}

func drawPose(rng *rand.Rand, pixels, tilt, curl float64) pose {
	return pose{
		pixels: pixels, tilt: tilt * rng.Float64() * math.Pi / 180, axis: 2 * math.Pi * rng.Float64(), roll: 2 * math.Pi * rng.Float64(),
		distance: 6 + 14*rng.Float64(), curl: curl * (2*rng.Float64() - 1), curlAxis: math.Pi * rng.Float64(),
	}
}

// project is where the photo shows a place in mm.
func (p *pose) project(x, y float64) (px, py float64) {
	u, v := x/slip.Side-0.5, y/slip.Side-0.5
	sin, cos := p.turns[0][0], p.turns[0][1]
	along, across := cos*u+sin*v, cos*v-sin*u
	z := 0.0
	if p.curl != 0 {
		z, across = (1-math.Cos(p.curl*across))/p.curl, math.Sin(p.curl*across)/p.curl
	}
	u, v = cos*along-sin*across, sin*along+cos*across
	sin, cos = p.turns[1][0], p.turns[1][1]
	u, v = cos*u-sin*v, sin*u+cos*v
	// Tilted about an axis in the picture's plane.
	sin, cos = p.turns[2][0], p.turns[2][1]
	on, off := cos*u+sin*v, cos*v-sin*u
	st, ct := p.turns[3][0], p.turns[3][1]
	off, z = ct*off-st*z, st*off+ct*z
	u, v = cos*on-sin*off, sin*on+cos*off
	k := p.pixels * p.distance / (p.distance + z)
	return p.x + k*u, p.y + k*v
}

// place is what a pixel shows, by Newton's method from a start near it.
func (p *pose) place(px, py float64, start [2]float64) (x, y float64, ok bool) {
	x, y = start[0], start[1]
	for range 8 {
		qx, qy := p.project(x, y)
		ex, ey := px-qx, py-qy
		if math.Hypot(ex, ey) < 1e-3 {
			return x, y, true
		}
		const h = 0.01
		ax, ay := p.project(x+h, y)
		bx, by := p.project(x, y+h)
		a, b, c, d := (ax-qx)/h, (bx-qx)/h, (ay-qy)/h, (by-qy)/h
		det := a*d - b*c
		if math.Abs(det) < 1e-12 {
			return 0, 0, false
		}
		x, y = x+(d*ex-b*ey)/det, y+(a*ey-c*ex)/det
		if math.Abs(x) > 300 || math.Abs(y) > 300 {
			return 0, 0, false
		}
	}
	return x, y, false
}

// A lighting is the light on a slip, over that which a perfect white would clip at.
type lighting struct {
	level   [3]float64
	falloff [2]float64 // per pixel
	shadow  float64    // what a shadow leaves of it; 1 for none
	edge    [3]float64 // the shadow lies where edge[0]·x + edge[1]·y > edge[2], pixels from the slip's middle
	soft    float64    // of its edge, pixels
}

func drawLighting(rng *rand.Rand, pixels float64) lighting {
	l := lighting{shadow: 1, soft: (0.02 + 0.2*rng.Float64()) * pixels}
	level := 0.35 + 0.6*rng.Float64()
	for k := range l.level {
		l.level[k] = level * math.Exp(0.10*rng.NormFloat64())
	}
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	fall := 0.15 * rng.Float64() / pixels
	l.falloff = [2]float64{fall * sin, fall * cos}
	if rng.IntN(3) == 0 {
		l.shadow = 0.35 + 0.4*rng.Float64()
		sin, cos = math.Sincos(2 * math.Pi * rng.Float64())
		l.edge = [3]float64{sin, cos, (rng.Float64() - 0.5) * 0.8 * pixels}
	}
	return l
}

func (l *lighting) at(dx, dy float64) [3]float64 {
	share := 1 + l.falloff[0]*dx + l.falloff[1]*dy
	if l.shadow < 1 {
		d := (l.edge[0]*dx + l.edge[1]*dy - l.edge[2]) / l.soft
		share *= 1 - (1-l.shadow)/(1+math.Exp(-4*d))
	}
	return [3]float64{share * l.level[0], share * l.level[1], share * l.level[2]}
}

// A picture is linear light, three numbers a pixel.
type picture struct {
	wide, high int
	light      []float64
}

// pictureOf is a photo made so wide at most, by one pixel in many: what lies behind slips may be jagged.
func pictureOf(p *imageio.Photo, wide int) *picture {
	k := max(float64(p.Width)/float64(wide), 1)
	out := &picture{wide: int(float64(p.Width) / k), high: int(float64(p.Height) / k)}
	out.light = make([]float64, 3*out.wide*out.high)
	for i := range out.wide * out.high {
		c := p.Linear(int((float64(i%out.wide)+0.5)*k), int((float64(i/out.wide)+0.5)*k))
		out.light[3*i], out.light[3*i+1], out.light[3*i+2] = clamped(c.R), clamped(c.G), clamped(c.B)
	}
	return out
}

func clamped(v float64) float64 { return min(max(v, 0), 1) }

// bounds is the rectangle in which a slip's paper is seen, grown a little.
func (p *pose) bounds(grown float64) image.Rectangle {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := range 5 {
		for j := range 5 {
			along := func(k int) float64 { return -slip.Margin + float64(k)/4*(slip.Side+2*slip.Margin) }
			x, y := p.project(along(i), along(j))
			x0, y0, x1, y1 = min(x0, x), min(y0, y), max(x1, x), max(y1, y)
		}
	}
	return image.Rect(int(x0-grown), int(y0-grown), int(x1+grown)+1, int(y1+grown)+1)
}

// paste lays a slip on the picture.
func (pic *picture) paste(rng *rand.Rand, p *pose, of *print, light *lighting) {
	n := 3
	if p.pixels > 150 {
		n = 2
	}
	box := p.bounds(2).Intersect(image.Rect(0, 0, pic.wide, pic.high))
	for y := box.Min.Y; y < box.Max.Y; y++ {
		start := [2]float64{slip.Side / 2, slip.Side / 2}
		for x := box.Min.X; x < box.Max.X; x++ {
			var sum [3]float64
			covered := 0
			for i := range n * n {
				px, py := float64(x)+(float64(i%n)+0.5)/float64(n), float64(y)+(float64(i/n)+0.5)/float64(n)
				u, v, ok := p.place(px, py, start)
				if !ok {
					continue
				}
				start = [2]float64{u, v}
				c, on := of.at(u, v)
				if !on {
					continue
				}
				covered++
				l := light.at(px-p.x, py-p.y)
				sum[0], sum[1], sum[2] = sum[0]+l[0]*c.R, sum[1]+l[1]*c.G, sum[2]+l[2]*c.B
			}
			speck := 1 + of.by.speck*rng.NormFloat64()
			for k, v := range sum {
				at := &pic.light[3*(y*pic.wide+x)+k]
				*at = (*at*float64(n*n-covered) + speck*v) / float64(n*n)
			}
		}
	}
}

// blur makes a part of the picture unsharp, sigma in pixels.
func (pic *picture) blur(box image.Rectangle, sigma float64) {
	box = box.Intersect(image.Rect(0, 0, pic.wide, pic.high))
	r := int(3*sigma) + 1
	kernel, sum := make([]float64, 2*r+1), 0.0
	for i := range kernel {
		kernel[i] = math.Exp(-float64((i-r)*(i-r)) / (2 * sigma * sigma))
		sum += kernel[i]
	}
	across := make([]float64, 3*box.Dx()*(box.Dy()+2*r))
	at := func(x, y int) int { return 3 * (min(max(y, 0), pic.high-1)*pic.wide + min(max(x, 0), pic.wide-1)) }
	for i := range len(across) / 3 {
		x, y := box.Min.X+i%box.Dx(), box.Min.Y-r+i/box.Dx()
		for j, w := range kernel {
			from := at(x+j-r, y)
			for k := range 3 {
				across[3*i+k] += w / sum * pic.light[from+k]
			}
		}
	}
	for i := range box.Dx() * box.Dy() {
		var v [3]float64
		for j, w := range kernel {
			for k := range 3 {
				v[k] += w / sum * across[3*(i+j*box.Dx())+k]
			}
		}
		copy(pic.light[at(box.Min.X+i%box.Dx(), box.Min.Y+i/box.Dx()):], v[:])
	}
}

// photo is the picture with noise, as a JPEG that was opened.
func (pic *picture) photo(t testing.TB, rng *rand.Rand, noise float64, quality int) *imageio.Photo {
	img := image.NewRGBA(image.Rect(0, 0, pic.wide, pic.high))
	for i := range pic.wide * pic.high {
		var c [3]float64
		for k := range c {
			v := pic.light[3*i+k]
			c[k] = v + noise*rng.NormFloat64()*math.Sqrt(max(v, 0)+0.002)
		}
		code := colour.LinearRGB{R: c[0], G: c[1], B: c[2]}.Encode()
		img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2], img.Pix[4*i+3] = code.R, code.G, code.B, 255
	}
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, img, &jpeg.Options{Quality: quality}))
	p, err := imageio.Decode(t.Context(), file.Bytes(), "drawn.jpg")
	require.NoError(t, err)
	return p
}
