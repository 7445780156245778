package piece

import "huewright/imageio"

// Limits bound what is taken on, so that a slip of the hand, or a file of somebody else's, is refused
// before it takes hours or all memory.
type Limits struct {
	Photo    imageio.Limits
	Photos   int // of a piece; default 100
	Areas    int // of a piece or a photo; default 100
	Coatings int // of a piece; default 20: what is worked out grows with their square
	Letters  int // of a name; default 200
}

// OrDefault are limits with the usual ones for those that are not given.
func (l Limits) OrDefault() Limits {
	for _, v := range []struct {
		given *int
		usual int
	}{{&l.Photos, 100}, {&l.Areas, 100}, {&l.Coatings, 20}, {&l.Letters, 200}} {
		if *v.given == 0 {
			*v.given = v.usual
		}
	}
	return l
}
