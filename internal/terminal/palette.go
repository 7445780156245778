package terminal

import "huewright/colour"

// mostOff is how far, as ΔE00, a colour of the palette may be from the one it stands for.
//
// Our own choice: below it two browns are still the same brown to an eye that compares a screen with wood.
const mostOff = 3

// The palette of 256 colours is a cube of six levels a side, from number 16 on, and 24 greys behind it. The first 16 are
// whatever the owner of the screen has made them, and are never taken for a colour of ours.
const (
	firstOfCube = 16
	firstOfGrey = 232
	lastOfGrey  = 255
)

var cubeLevels = [6]uint8{0, 95, 135, 175, 215, 255}

// paletteColour is a colour of the palette by its number, from firstOfCube on.
func paletteColour(n int) colour.RGB8 {
	if n >= firstOfGrey {
		v := uint8(8 + 10*(n-firstOfGrey))
		return colour.RGB8{R: v, G: v, B: v}
	}
	n -= firstOfCube
	return colour.RGB8{R: cubeLevels[n/36], G: cubeLevels[n/6%6], B: cubeLevels[n%6]}
}

// nearest is the number of the palette's colour that looks most like c, and whether it is near enough to stand for it.
func nearest(c colour.RGB8) (number int, near bool) {
	want, least := c.Linear().Lab(), 1e9
	for n := firstOfCube; n <= lastOfGrey; n++ {
		if d := colour.DeltaE2000(want, paletteColour(n).Linear().Lab()); d < least {
			number, least = n, d
		}
	}
	return number, least <= mostOff
}
