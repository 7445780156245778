package imageio

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fixture"
)

// How a stored picture of two rows, abc over def, stands upright, by the words of the EXIF
// specification: where its row 0 and its column 0 come to lie.
//
// Source: CIPA DC-008 (EXIF) 2.32, tag 274.
func TestOrientations(t *testing.T) {
	for number, want := range []string{
		1: "abc/def",  // row 0 top, column 0 left
		2: "cba/fed",  // top, right
		3: "fed/cba",  // bottom, right
		4: "def/abc",  // bottom, left
		5: "ad/be/cf", // left, top
		6: "da/eb/fc", // right, top
		7: "fc/eb/da", // right, bottom
		8: "cf/be/ad", // left, bottom
	} {
		if want == "" {
			continue
		}
		stored := []string{"abc", "def"}
		o := orientation{number: number, width: 3, height: 2}
		width, height := 3, 2
		if o.swapped() {
			width, height = 2, 3
		}
		got := ""
		for y := range height {
			if y > 0 {
				got += "/"
			}
			for x := range width {
				sx, sy := o.stored(x, y)
				got += stored[sy][sx : sx+1]
			}
		}
		require.Equal(t, want, got, "orientation %d", number)
	}
}

// thumbnail is the mean light of each field of a grid over the photo.
func thumbnail(p *Photo, columns, rows int) []colour.Lab {
	sums, count := make([]colour.XYZ, columns*rows), make([]float64, columns*rows)
	for y := range p.Height {
		for x := range p.Width {
			field, c := y*rows/p.Height*columns+x*columns/p.Width, p.Linear(x, y).XYZ()
			sums[field].X, sums[field].Y, sums[field].Z = sums[field].X+c.X, sums[field].Y+c.Y, sums[field].Z+c.Z
			count[field]++
		}
	}
	out := make([]colour.Lab, len(sums))
	for i, s := range sums {
		out[i] = colour.XYZ{X: s.X / count[i], Y: s.Y / count[i], Z: s.Z / count[i]}.Lab()
	}
	return out
}

// The same scene saved in all eight orientations stands up the same way. The files were
// compressed, and some converted to another profile, one by one, so they differ a little.
func TestPhotosInEveryOrientation(t *testing.T) {
	fixture.NeedShared(t, "formats/sharp/Landscape_1.jpg")
	first, err := Open(t.Context(), fixture.Shared("formats/sharp/Landscape_1.jpg"))
	require.NoError(t, err)
	want := thumbnail(first, 6, 4)
	for number := 2; number <= 8; number++ {
		p, err := Open(t.Context(), fixture.Shared(fmt.Sprintf("formats/sharp/Landscape_%d.jpg", number)))
		require.NoError(t, err)
		require.Equal(t, [2]int{600, 450}, [2]int{p.Width, p.Height})
		require.Equal(t, number, p.turned.number)
		for i, lab := range thumbnail(p, 6, 4) {
			require.Less(t, colour.DeltaE2000(want[i], lab), 3.0, "orientation %d, field %d", number, i)
		}
		for i := range 200 {
			x, y := i*7%(p.Width-1), i*11%(p.Height-1)
			for k, light := range p.LinearSquare(x, y) {
				require.Equal(t, p.Linear(x+k%2, y+k/2), light)
			}
		}
	}
}

// EXIF is found in WebP and in the text chunk of PNG too.
func TestOrientationOutsideJPEG(t *testing.T) {
	fixture.NeedShared(t, "formats/pillow/hopper_orientation_6.webp")
	var thumbnails [][]colour.Lab
	for _, kind := range []string{"jpg", "webp"} {
		p, err := Open(t.Context(), fixture.Shared("formats/pillow/hopper_orientation_6."+kind))
		require.NoError(t, err)
		require.Equal(t, 6, p.turned.number)
		thumbnails = append(thumbnails, thumbnail(p, 4, 4))
	}
	for i := range thumbnails[0] {
		require.Less(t, colour.DeltaE2000(thumbnails[0][i], thumbnails[1][i]), 3.0, "field %d", i)
	}
	p, err := Open(t.Context(), fixture.NeedShared(t, "formats/pillow/exif_*_orientation.png")[0])
	require.NoError(t, err)
	require.Equal(t, 3, p.turned.number)
}

// Every upright pixel has a place of its own in the stored picture, whatever the number says.
func FuzzOrientation(f *testing.F) {
	for number := -1; number <= 9; number++ {
		f.Add(number, uint8(3), uint8(5))
	}
	f.Fuzz(func(t *testing.T, number int, width, height uint8) {
		o := orientation{number: number, width: int(width%32) + 1, height: int(height%32) + 1}
		w, h := o.width, o.height
		if o.swapped() {
			w, h = h, w
		}
		seen := map[[2]int]bool{}
		for y := range h {
			for x := range w {
				sx, sy := o.stored(x, y)
				require.True(t, 0 <= sx && sx < o.width && 0 <= sy && sy < o.height)
				seen[[2]int{sx, sy}] = true
			}
		}
		require.Len(t, seen, w*h)
	})
}
