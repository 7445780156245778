package colour

import (
	"context"
	"sync"

	"huewright/internal/parallel"
)

// EncodedLabs fills out with the Lab of each encoded sRGB colour, against D65, on all processors: what
// c.Linear().Lab() gives one by one, to 1e-9. It panics when out is of another length.
//
// Source: IEC 61966-2-1 for the curve and the matrix; CIE 15:2018, 8.2.1.
func EncodedLabs(out []Lab, codes []RGB8) {
	if len(out) != len(codes) {
		panic("colour: EncodedLabs into a slice of another length")
	}
	const chunk = 1 << 13
	tables := encodedTables()
	_ = parallel.Ranges(context.Background(), len(codes), chunk, func(from, to int) { tables.labs(out[from:to], codes[from:to]) })
}

// codeTables hold, for each code of each channel, what it adds to X, Y and Z as shares of the white's.
type codeTables struct{ red, green, blue [256]XYZ }

var encodedTables = sync.OnceValue(func() *codeTables {
	t := new(codeTables)
	share := func(light LinearRGB) XYZ {
		c := light.XYZ()
		return XYZ{c.X / WhiteD65.X, c.Y / WhiteD65.Y, c.Z / WhiteD65.Z}
	}
	for i := range 256 {
		v := RGB8{R: uint8(i)}.Linear().R
		t.red[i], t.green[i], t.blue[i] = share(LinearRGB{R: v}), share(LinearRGB{G: v}), share(LinearRGB{B: v})
	}
	return t
})

func (t *codeTables) labs(out []Lab, codes []RGB8) {
	out = out[:len(codes)]
	for i, c := range codes {
		r, g, b := &t.red[c.R], &t.green[c.G], &t.blue[c.B]
		out[i] = labOf(labCurve(r.X+g.X+b.X), labCurve(r.Y+g.Y+b.Y), labCurve(r.Z+g.Z+b.Z))
	}
}
