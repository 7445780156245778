package slip

import (
	"fmt"

	"huewright/colour"
	"huewright/imageio"
)

// Sizes in millimetres. The frame of 60 mm is our own choice: at arm's length a phone sees it 200 to 400 pixels wide, and six of
// them fit on a sheet.
const (
	Side   = 60.0 // of the frame, outside
	Margin = 6.0  // of paper round the frame
	module = 5.0  // the frame's thickness, and the side of a cell

	patchSide = 12.0
	patchGap  = 1.0
	patchFrom = 2*module + patchGap // where the first patch begins, across and down
)

const (
	across  = 3               // patches in a row
	Patches = across * across // of a slip
	PerSet  = 6               // slips of a sheet
)

// A Tone is what a printer is asked for, as sRGB; the paper's own is white.
type Tone struct {
	Name string
	RGB  colour.RGB8
}

// Tones are of two kinds. What is printed will differ, by more than 10 ΔE00 where it is dark: only its order of lightness is relied on.
var (
	paper     = Tone{"paper", colour.RGB8{R: 255, G: 255, B: 255}}
	lightGrey = Tone{"light grey", colour.RGB8{R: 176, G: 176, B: 176}}
	darkGrey  = Tone{"dark grey", colour.RGB8{R: 98, G: 98, B: 98}}
	black     = Tone{"black", colour.RGB8{}}

	paleTan   = Tone{"pale tan", colour.RGB8{R: 232, G: 208, B: 170}}
	tan       = Tone{"tan", colour.RGB8{R: 204, G: 160, B: 112}}
	redBrown  = Tone{"red-brown", colour.RGB8{R: 148, G: 82, B: 52}}
	midBrown  = Tone{"brown", colour.RGB8{R: 160, G: 116, B: 72}}
	darkBrown = Tone{"dark brown", colour.RGB8{R: 72, G: 42, B: 26}}
)

// inColour and inGrey are the patches, row by row. Their order is that whose lightness is least like itself under any turn or mirror
// (a correlation of 0.12 at most), so that the patches prove again which way is up.
var (
	inColour = [Patches]Tone{paper, darkGrey, tan, paper, lightGrey, redBrown, midBrown, paleTan, darkBrown}
	inGrey   = [Patches]Tone{paper, darkGrey, lightGrey, paper, lightGrey, black, darkGrey, paper, black}
)

// A Design says which slip is meant.
type Design struct {
	Number int  // 1 to [PerSet]
	Set    int  // 1 to [Sets]: slips that were printed together
	Grey   bool // for printers without colour
}

// String is what stands on the slip.
func (d Design) String() string {
	if d.Grey {
		return fmt.Sprintf("slip %d · set %d · grey", d.Number, d.Set)
	}
	return fmt.Sprintf("slip %d · set %d", d.Number, d.Set)
}

// Tones are those of the patches, row by row.
func (d Design) Tones() [Patches]Tone {
	if d.Grey {
		return inGrey
	}
	return inColour
}

// A Mark is a rectangle that is printed in one tone.
type Mark struct {
	X, Y, Wide, High float64 // millimetres
	Tone             Tone
}

// Marks are what is printed of a slip: the frame as four bars, the dark cells and the patches, none over another. Paper is left out.
// It panics where there is no such slip.
func (d Design) Marks() []Mark {
	marks := []Mark{
		{0, 0, Side, module, black}, {0, Side - module, Side, module, black},
		{0, module, module, Side - 2*module, black}, {Side - module, module, module, Side - 2*module, black},
	}
	word := d.word()
	for i := range cells {
		if word>>i&1 == 1 {
			at := cell(i)
			marks = append(marks, Mark{at.X, at.Y, module, module, black})
		}
	}
	for i, tone := range d.Tones() {
		if at := patch(i); tone != paper {
			marks = append(marks, Mark{at.X, at.Y, patchSide, patchSide, tone})
		}
	}
	return marks
}

// cell is the top left corner of a cell. The first is at the top left, and they go round clockwise.
func cell(i int) imageio.Point {
	const low, high = module, Side - 2*module
	along := low + module*float64(i%perTurn)
	switch i / perTurn {
	case 0:
		return imageio.Point{X: along, Y: low}
	case 1:
		return imageio.Point{X: high, Y: along}
	case 2:
		return imageio.Point{X: Side - module - along, Y: high}
	}
	return imageio.Point{X: low, Y: Side - module - along}
}

// patch is the top left corner of a patch.
func patch(i int) imageio.Point {
	const pitch = patchSide + patchGap
	return imageio.Point{X: patchFrom + pitch*float64(i%across), Y: patchFrom + pitch*float64(i/across)}
}
