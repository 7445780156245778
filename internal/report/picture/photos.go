package picture

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// surround is the neutral grey that colours are shown on: about L* 50 all round, so that nothing
// beside them changes how they look.
var surround = color.NRGBA{0x77, 0x77, 0x77, 0xff}

var textFont = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic(err) // it is built in
	}
	return f
})

// face is the text font at a size in pixels.
func face(size float64) font.Face {
	f, err := opentype.NewFace(textFont(), &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic(err) // a positive size
	}
	return f
}

// centred writes a line of text in an ink, centred about x, its base line at y.
func centred(img draw.Image, f font.Face, ink image.Image, x, y int, text string) {
	d := font.Drawer{Dst: img, Src: ink, Face: f, Dot: fixed.P(x-font.MeasureString(f, text).Ceil()/2, y)}
	d.DrawString(text)
}

// label is a line in white and no wider than most: a longer one is cut off with an ellipsis.
func label(img draw.Image, f font.Face, x, y, most int, text string) {
	runes := []rune(text)
	for n := len(runes); font.MeasureString(f, text).Ceil() > most && n > 1; n-- {
		text = string(runes[:n-1]) + "…"
	}
	centred(img, f, image.White, x, y, text)
}

// say is what a code says in a picture.
func say(code fault.Code, values ...any) string {
	return words.Speaker{}.Say(fault.Say(code, values...))
}

// Pair lays a photo as it is and as it would look side by side, or one above the other where it
// is wider than high.
func Pair(before, after image.Image) image.Image {
	return twice(before, after, say("picture.now"), say("picture.after"))
}

// Lights lays a photo as it would look by day and by a warm lamp side by side, likewise.
func Lights(byDay, byLamp image.Image) image.Image {
	return twice(byDay, byLamp, say("picture.by-day"), say("picture.by-lamp"))
}

// twice lays a photo in two ways, of one size, side by side or one above the other.
func twice(one, other image.Image, aboutOne, aboutOther string) image.Image {
	const gap, foot = 24, 44
	b := one.Bounds()
	w, h := b.Dx(), b.Dy()
	dx, dy := w+gap, 0
	if w > h*4/3 {
		dx, dy = 0, h+foot+gap/2
	}
	img := image.NewNRGBA(image.Rect(0, 0, w+dx+2*gap, h+dy+foot+gap))
	draw.Draw(img, img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	f := face(26)
	for i, side := range []struct {
		picture image.Image
		text    string
	}{{one, aboutOne}, {other, aboutOther}} {
		at := image.Pt(gap+i*dx, gap+i*dy)
		draw.Draw(img, image.Rectangle{at, at.Add(image.Pt(w, h))}, side.picture, side.picture.Bounds().Min, draw.Src)
		label(img, f, at.X+w/2, at.Y+h+32, w, side.text)
	}
	return img
}

// Strip lays an area after each coat side by side, the suggested count marked.
func Strip(pictures []image.Image, shown []workshop.Shown, chosen int) image.Image {
	const gap, foot, most = 16, 58, 300
	var tiles []image.Image
	width, high := gap, 0
	for _, p := range pictures {
		t := image.Image(imaging.Fit(p, most, 2*most, imaging.CatmullRom))
		if b := p.Bounds(); b.Dx() < most && b.Dy() < 2*most {
			t = imaging.Clone(p)
		}
		tiles = append(tiles, t)
		width, high = width+max(t.Bounds().Dx(), leastTile)+gap, max(high, t.Bounds().Dy())
	}
	img := image.NewNRGBA(image.Rect(0, 0, width, high+gap+foot))
	draw.Draw(img, img.Rect, image.NewUniform(surround), image.Point{}, draw.Src)
	f, small := face(17), face(14)
	x := gap
	for i, t := range tiles {
		b := t.Bounds()
		column := max(b.Dx(), leastTile)
		at := image.Pt(x+(column-b.Dx())/2, gap)
		draw.Draw(img, image.Rectangle{at, at.Add(b.Size())}, t, b.Min, draw.Src)
		text := Caption(shown[i].Coats)
		if i == chosen {
			draw.Draw(img, image.Rect(at.X, gap+high+4, at.X+b.Dx(), gap+high+8), image.White, image.Point{}, draw.Src)
			text = say("picture.planned", "coats", text)
		}
		label(img, f, x+column/2, gap+high+26, column+gap-4, text)
		c := shown[i].Lab
		label(img, small, x+column/2, gap+high+46, column+gap-4, fmt.Sprintf("L* %.0f a* %.0f b* %.0f", c.L, c.A, c.B))
		x += column + gap
	}
	return img
}

// leastTile is the least width of a tile, for its caption.
const leastTile = 150

// Caption says how many coats are on, under a photo that shows them.
func Caption(coats []plan.CoatCount) string {
	n := 0
	for _, c := range coats {
		n += c.Count
	}
	return say("picture.coats", "n", n)
}

// Numbered is a photo with its areas outlined and numbered.
func Numbered(ctx context.Context, r *workshop.PlanResult, preview *workshop.Preview, photo string) (image.Image, error) {
	before, err := preview.Before(ctx, photo)
	if err != nil {
		return nil, err
	}
	img := image.NewNRGBA(before.Bounds())
	draw.Draw(img, img.Rect, before, before.Bounds().Min, draw.Src)
	f := face(26)
	for i := range r.Areas {
		points, err := preview.OutlineOf(ctx, r.Areas[i].Area.Name, photo)
		if err != nil {
			return nil, err
		}
		if len(points) == 0 {
			continue
		}
		var x, y float64
		for k, p := range points {
			q := points[(k+1)%len(points)]
			stroke(img, p, q, 4, color.Black)
			x, y = x+p[0]/float64(len(points)), y+p[1]/float64(len(points))
		}
		for k, p := range points {
			stroke(img, p, points[(k+1)%len(points)], 2, color.White)
		}
		disc(img, x, y, 21, color.Black)
		disc(img, x, y, 19, color.White)
		centred(img, f, image.Black, int(x), int(y)+9, fmt.Sprint(i+1))
	}
	return img, nil
}

// stroke draws a line of a width.
func stroke(img draw.Image, p, q [2]float64, width float64, c color.Color) {
	length := math.Hypot(q[0]-p[0], q[1]-p[1])
	for t := 0.0; t <= length; t++ {
		k := 0.0
		if length > 0 {
			k = t / length
		}
		disc(img, p[0]+k*(q[0]-p[0]), p[1]+k*(q[1]-p[1]), width/2, c)
	}
}

func disc(img draw.Image, x, y, radius float64, c color.Color) {
	for py := int(y - radius); py <= int(y+radius)+1; py++ {
		for px := int(x - radius); px <= int(x+radius)+1; px++ {
			if math.Hypot(float64(px)+0.5-x, float64(py)+0.5-y) <= radius && image.Pt(px, py).In(img.Bounds()) {
				img.Set(px, py, c)
			}
		}
	}
}
