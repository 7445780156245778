package bench

import (
	"math"

	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/imageio/slip"
)

// A PrintedSlip is a slip that was printed and stuck on the piece.
type PrintedSlip struct {
	slip.Design
	Printer int // 0 inkjet, 1 toner, 2 an inkjet that is low on ink
	// Spot is 0 on the left stile, 1 on the left panel, 2 higher on the left stile, 3 on the right stile, 4 between the target boards.
	Spot int
}

// A printer is four inks on paper, by how densely each absorbs what it is there to absorb. Our own choice: inkjets are pale on plain
// paper, toner is dense.
type printer struct {
	cyan, magenta, yellow, black float64 // density of full ink at its peak, one way through
	gain                         float64 // how much more than it should half a tone covers
	grow                         float64 // by how much marks grow, mm
}

var slipPrinters = [...]printer{
	{0.50, 0.48, 0.52, 0.56, 0.16, 0.08},
	{0.70, 0.68, 0.70, 0.80, 0.22, 0.04},
	{0.36, 0.40, 0.38, 0.48, 0.08, 0.03},
}

// printedSpots are the middles of printed slips, clear of all areas, the first of them on the piece.
var printedSpots = [...]struct {
	spot
	height, turn float64
}{
	{spot{377, 738}, frameStuck, 1.5}, {spot{527, 412}, panelFace + 0.4, -2.5},
	{spot{377, 445}, frameStuck, -0.5}, {spot{913, 560}, frameStuck, 0.8},
	{spot{1076, 425}, onWall + 0.4, -1.2},
}

const (
	spotsOnPiece = 4
	besideBoard  = 4
)

// printed sticks slips on the piece.
func (m *maker) printed(slips []PrintedSlip) {
	for _, p := range slips {
		const half = slip.Side / 2
		by, at := &slipPrinters[p.Printer], printedSpots[p.Spot]
		stick := func(x, y, wide, high float64, l *palette) {
			shape := rect(at.x-half+x, at.y-half+y, wide, high).turned(at.turn, at.spot)
			m.add(&surface{shape: shape, height: at.height, palette: l, thin: true})
		}
		stick(-slip.Margin, -slip.Margin, slip.Side+2*slip.Margin, slip.Side+2*slip.Margin, plain(paper))
		tones := map[colour.RGB8]*palette{}
		for _, mark := range p.Marks() {
			if tones[mark.Tone.RGB] == nil {
				tones[mark.Tone.RGB] = flat(by.print(mark.Tone.RGB))
			}
			stick(mark.X-by.grow, mark.Y-by.grow, mark.Wide+2*by.grow, mark.High+2*by.grow, tones[mark.Tone.RGB])
		}
	}
}

// print is the spectrum of a tone on the slips' paper: dots of four inks that overlap by chance, with light that spreads in the paper
// between them.
//
// Source: Neugebauer (1937), Z. wiss. Photogr. 36, 73–89; Yule, Nielsen (1951), TAGA Proc. 3, 65–76, with n = 2.
func (p *printer) print(tone colour.RGB8) spectra.Spectrum {
	asked := [3]float64{1 - float64(tone.R)/255, 1 - float64(tone.G)/255, 1 - float64(tone.B)/255}
	grey := min(asked[0], asked[1], asked[2])
	black := grey * grey // shadows are black ink, light greys are three colours
	if asked[0] == asked[1] && asked[1] == asked[2] {
		black = grey // greys are black ink alone
	}
	var cover [4]float64
	for k, v := range [4]float64{asked[0] - black, asked[1] - black, asked[2] - black, black} {
		if k < 3 {
			v /= max(1-black, 1e-6)
		}
		cover[k] = v + p.gain*4*v*(1-v)
	}
	peak := func(nm, at, width float64) float64 { return math.Exp(-(nm - at) * (nm - at) / (2 * width * width)) }
	var out spectra.Spectrum
	on := paper.spectrum()
	for band := range out {
		nm := wavelength(band)
		density := [4]float64{
			p.cyan * (peak(nm, 640, 55) + 0.12*peak(nm, 480, 80)),
			p.magenta * (peak(nm, 545, 36) + 0.18*peak(nm, 430, 50)),
			p.yellow * (peak(nm, 430, 42) + 0.02),
			p.black * (1 - 0.06*(nm-550)/150),
		}
		root := 0.0
		for overlap := range 16 {
			share, through := 1.0, 0.0
			for k, c := range cover {
				if overlap>>k&1 == 1 {
					share, through = share*c, through+density[k]
				} else {
					share *= 1 - c
				}
			}
			root += share * math.Sqrt(0.012+0.988*on[band]*math.Pow(10, -2*through)) // and what ink itself throws back
		}
		out[band] = root * root
	}
	return out
}
