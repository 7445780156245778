package chart

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"

	"github.com/disintegration/imaging"
	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// overlaySide is how long an overlay is at most, in pixels.
const overlaySide = 1600

// Overlay is the photo, made smaller if it is large, with the patch field drawn on it:
// its edge, the part of each patch that is read, and the patch's name or, where that has no
// room, its number from 1, the dark brown, to 24, the black.
func Overlay(p *imageio.Photo, corners [4]imageio.Point) image.Image {
	img := imaging.Fit(p.AsSmallerImage(overlaySide), overlaySide, overlaySide, imaging.Box)
	scale := float64(img.Rect.Dx()) / float64(p.Width)
	q := plane.Scaled(corners, scale)
	face := plane.FromCorners(q)
	stroke(img, q[:], true)
	wide := shortestSide(q)
	for i, patch := range camera.Chart24(camera.Since2014) {
		u, v := float64(i%chartColumns)+0.5, float64(i/chartColumns)+0.5
		var square []imageio.Point
		for _, c := range [4]imageio.Point{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}} {
			square = append(square, face.Point((u+c.X*patchCore/2)/chartColumns, (v+c.Y*patchCore/2)/chartRows))
		}
		stroke(img, square, false)
		label := strings.Fields(patch.Name)
		if longest := 7 * len(patch.Name); float64(longest) > wide {
			label = []string{fmt.Sprint(i + 1)}
		}
		write(img, face.Point(u/chartColumns, v/chartRows), label)
	}
	return img
}

// stroke draws a closed line, white beside black so that it shows on anything.
func stroke(img *image.NRGBA, line []imageio.Point, bold bool) {
	for i, a := range line {
		b := line[(i+1)%len(line)]
		n := math.Ceil(math.Hypot(b.X-a.X, b.Y-a.Y))
		for k := range int(n) + 1 {
			t := float64(k) / max(n, 1)
			x, y := int(a.X+t*(b.X-a.X)), int(a.Y+t*(b.Y-a.Y))
			img.Set(x+1, y+1, color.Black)
			img.Set(x, y, color.White)
			if bold {
				img.Set(x-1, y-1, color.Black)
			}
		}
	}
}

// write puts lines of text about a place.
func write(img *image.NRGBA, at imageio.Point, lines []string) {
	face := basicfont.Face7x13
	for i, s := range lines {
		x := int(at.X) - 7*len(s)/2
		y := int(at.Y) + 13*i - 13*(len(lines)-1)/2 + 4
		for _, ink := range []struct {
			by    int
			shade color.Color
		}{{1, color.Black}, {0, color.White}} {
			d := font.Drawer{Dst: img, Src: image.NewUniform(ink.shade), Face: face, Dot: fixed.P(x+ink.by, y+ink.by)}
			d.DrawString(s)
		}
	}
}
