package card

import (
	"fmt"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

const mmPerPoint = 25.4 / 72

// A typeface measures letters.
type typeface struct {
	font    *sfnt.Font
	mu      sync.Mutex // of the rest
	buffer  sfnt.Buffer
	advance map[rune]float64 // in ems
}

var regular, bold = sync.OnceValue(func() *typeface { return newTypeface(goregular.TTF) }),
	sync.OnceValue(func() *typeface { return newTypeface(gobold.TTF) })

func newTypeface(ttf []byte) *typeface {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(fmt.Sprint("a font that is built in: ", err))
	}
	return &typeface{font: f, advance: map[rune]float64{}}
}

// width is how wide a line is, in mm, in letters of so many points.
func (t *typeface) width(line string, points float64) (mm float64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, r := range line {
		a, known := t.advance[r]
		if !known {
			em := fixed.Int26_6(t.font.UnitsPerEm())
			glyph, _ := t.font.GlyphIndex(&t.buffer, r) // 0 is the sign for a letter that is not there
			wide, err := t.font.GlyphAdvance(&t.buffer, glyph, em, font.HintingNone)
			if err == nil {
				a = float64(wide) / float64(em)
			}
			t.advance[r] = a
		}
		mm += a * points * mmPerPoint
	}
	return mm
}

func faceOf(b bool) *typeface {
	if b {
		return bold()
	}
	return regular()
}

// The Go fonts in ems: a line of text reaches from ascent over its base line to descent under it; a capital letter is capHeight high,
// a digit no less. TestLettersAreAsHighAsSaid holds them to the fonts.
const (
	ascent    = 0.945
	descent   = 0.211
	capHeight = 0.723
	pitch     = 1.2 // from one line to the next
)
