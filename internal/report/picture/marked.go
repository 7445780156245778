package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"
	"strings"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"

	"huewright/imageio"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// The size of a marked photo, in its pixels: within mostSide, and enlarged by whole numbers up to leastSide, so that what is written
// on it can be read where it is shown 1200 wide.
const (
	mostSide  = 1600
	leastSide = 800
)

// gridGap is the least gap between two lines of the grid, in pixels of the picture: coordinates of five figures find room in it.
const gridGap = 76

// Marked is a photo, its longer side within mostSide pixels, with a grid whose lines are numbered in pixels of the photo, and with
// the areas and what else the request outlines drawn on it and listed below it. onPhoto is the photo in any size, wide its width in
// its own pixels.
func Marked(onPhoto image.Image, wide int, req workshop.MeasureRequest) image.Image {
	m := newMarked(onPhoto, wide)
	m.grid()
	all := marksOf(req.Areas, &req.Reference)
	var notes []string
	for _, one := range all {
		m.outline(one.outline)
		notes = append(notes, one.name+"   "+shortened(one.outline.String()))
	}
	for _, one := range all {
		m.label(one)
	}
	return m.listed(notes)
}

// A mark is something that is outlined on a photo.
type mark struct {
	name    string
	outline imageio.Outline
}

func marksOf(areas []workshop.AreaOutline, r *piece.Reference) (all []mark) {
	for i, a := range areas {
		all = append(all, mark{fmt.Sprint(i+1, " ", a.Name), a.Outline})
	}
	if r.Grey != nil {
		all = append(all, mark{say("picture.grey"), *r.Grey})
	}
	for _, n := range r.Neutrals {
		all = append(all, mark{say("picture.paper"), n.Outline})
	}
	return all
}

// shortened is an outline as it is typed, cut off where it is long.
func shortened(outline string) string {
	const most = 60
	if len(outline) <= most {
		return outline
	}
	return outline[:strings.LastIndexByte(outline[:most], ' ')] + " …"
}

// A marked is a photo on a margin that has the coordinates.
type marked struct {
	img    *image.NRGBA
	photo  image.Rectangle // where the photo lies in img
	scale  float64         // pixels of img a pixel of the photo
	text   font.Face
	across int // the width of a margin beside the photo
}

func newMarked(onPhoto image.Image, wide int) *marked {
	shown := imaging.Fit(onPhoto, mostSide, mostSide, imaging.Box)
	if longer := max(shown.Rect.Dx(), shown.Rect.Dy()); longer < leastSide {
		n := (leastSide + longer - 1) / longer
		shown = imaging.Resize(shown, n*shown.Rect.Dx(), 0, imaging.NearestNeighbor)
	}
	const across, along = 64, 34
	size := shown.Rect.Size()
	m := &marked{
		img:   image.NewNRGBA(image.Rect(0, 0, size.X+2*across, size.Y+2*along)),
		photo: image.Rectangle{Max: size}.Add(image.Pt(across, along)), text: face(20), across: across,
	}
	m.scale = float64(size.X) / float64(wide)
	draw.Draw(m.img, m.img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	draw.Draw(m.img, m.photo, shown, shown.Rect.Min, draw.Src)
	return m
}

// at is where a place of the photo lies in the picture.
func (m *marked) at(p imageio.Point) [2]float64 {
	return [2]float64{float64(m.photo.Min.X) + p.X*m.scale, float64(m.photo.Min.Y) + p.Y*m.scale}
}

// gridStep is how many pixels of the photo lie between two lines: 1, 2 or 5 times a power of ten.
func gridStep(scale float64) int {
	for step := 1; ; step *= 10 {
		for _, n := range []int{1, 2, 5} {
			if float64(n*step)*scale >= gridGap {
				return n * step
			}
		}
	}
}

// grid draws lines across the photo and their coordinates on all four sides, with a tick halfway.
func (m *marked) grid() {
	step := gridStep(m.scale)
	half := max(step/2, 1)
	for v := 0; ; v += half {
		at := m.at(imageio.Point{X: float64(v), Y: float64(v)})
		x, y := int(at[0]), int(at[1])
		inX, inY := x < m.photo.Max.X, y < m.photo.Max.Y
		if !inX && !inY {
			return
		}
		tick := 5
		if v%step == 0 {
			tick = 9
		}
		if inX {
			m.fill(image.Rect(x, m.photo.Min.Y-tick, x+1, m.photo.Min.Y), color.White)
			m.fill(image.Rect(x, m.photo.Max.Y, x+1, m.photo.Max.Y+tick), color.White)
		}
		if inY {
			m.fill(image.Rect(m.photo.Min.X-tick, y, m.photo.Min.X, y+1), color.White)
			m.fill(image.Rect(m.photo.Max.X, y, m.photo.Max.X+tick, y+1), color.White)
		}
		if v%step != 0 {
			continue
		}
		if inX {
			m.line(image.Pt(x, m.photo.Min.Y), image.Pt(0, 1))
			centred(m.img, m.text, image.White, x, m.photo.Min.Y-12, fmt.Sprint(v))
			centred(m.img, m.text, image.White, x, m.photo.Max.Y+26, fmt.Sprint(v))
		}
		if inY {
			m.line(image.Pt(m.photo.Min.X, y), image.Pt(1, 0))
			m.beside(y, fmt.Sprint(v))
		}
	}
}

// beside writes a row's coordinate on both sides of the photo.
func (m *marked) beside(y int, text string) {
	w := font.MeasureString(m.text, text).Ceil()
	centred(m.img, m.text, image.White, m.photo.Min.X-12-w/2, y+7, text)
	centred(m.img, m.text, image.White, m.photo.Max.X+12+w/2, y+7, text)
}

// line draws a thin line across the photo, light beside dark and half seen through, so that it shows on any wood and hides none.
func (m *marked) line(from, by image.Point) {
	beside := image.Pt(by.Y, by.X)
	for p := from; p.In(m.photo); p = p.Add(by) {
		m.blend(p, 255)
		m.blend(p.Add(beside), 0)
	}
}

// blend mixes a grey into a pixel.
func (m *marked) blend(p image.Point, grey uint8) {
	if !p.In(m.photo) {
		return
	}
	c := m.img.NRGBAAt(p.X, p.Y)
	mix := func(v uint8) uint8 { return uint8((3*int(v) + 2*int(grey)) / 5) }
	m.img.SetNRGBA(p.X, p.Y, color.NRGBA{mix(c.R), mix(c.G), mix(c.B), 255})
}

func (m *marked) fill(r image.Rectangle, c color.Color) {
	draw.Draw(m.img, r, image.NewUniform(c), image.Point{}, draw.Src)
}

// outline draws the edge of an area.
func (m *marked) outline(o imageio.Outline) {
	rings := slices.Concat([][]imageio.Point{o.Points}, o.More, o.Holes)
	for _, pen := range []struct {
		width float64
		ink   color.Color
	}{{5, color.Black}, {2.5, color.White}} {
		for _, ring := range rings {
			for i, p := range ring {
				stroke(m.img, m.at(p), m.at(ring[(i+1)%len(ring)]), pen.width, pen.ink)
			}
		}
	}
}

// label writes the name of an area in its middle, or above it or below it where the area is too small.
func (m *marked) label(of mark) {
	const high, gap = 28, 8
	low, far := m.at(of.outline.Points[0]), m.at(of.outline.Points[0])
	for _, p := range of.outline.Points {
		at := m.at(p)
		low = [2]float64{min(low[0], at[0]), min(low[1], at[1])}
		far = [2]float64{max(far[0], at[0]), max(far[1], at[1])}
	}
	most := m.photo.Dx() - 2*gap
	w := min(font.MeasureString(m.text, of.name).Ceil(), most)
	at := m.at(of.outline.Centre())
	y := int(at[1]) - high/2
	if far[0]-low[0] < float64(w+2*gap) || far[1]-low[1] < high+2*gap {
		if y = int(low[1]) - high - gap/2; y < m.photo.Min.Y {
			y = int(far[1]) + gap/2
		}
	}
	x := min(max(int(at[0])-w/2, m.photo.Min.X+gap), m.photo.Max.X-gap-w)
	y = min(max(y, m.photo.Min.Y), m.photo.Max.Y-high)
	m.fill(image.Rect(x-6, y, x+w+6, y+high), color.Black)
	label(m.img, m.text, x+w/2, y+21, most, of.name)
}

// listed is the picture with lines of text below it, in as many columns as find room.
func (m *marked) listed(notes []string) image.Image {
	if len(notes) == 0 {
		return m.img
	}
	const high, gap = 30, 36
	wide := 0
	for _, n := range notes {
		wide = max(wide, font.MeasureString(m.text, n).Ceil()+gap)
	}
	wide = min(wide, m.photo.Dx())
	columns := max(1, m.photo.Dx()/wide)
	rows := int(math.Ceil(float64(len(notes)) / float64(columns)))
	foot := m.img.Rect.Dy() + 6
	img := image.NewNRGBA(image.Rect(0, 0, m.img.Rect.Dx(), foot+rows*high+12))
	draw.Draw(img, img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	draw.Draw(img, m.img.Rect, m.img, image.Point{}, draw.Src)
	for i, n := range notes {
		x, y := m.across+i/rows*wide, foot+i%rows*high
		most := wide - gap
		w := min(font.MeasureString(m.text, n).Ceil(), most)
		label(img, m.text, x+w/2, y+22, most, n)
	}
	return img
}
