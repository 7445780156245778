package bench

import (
	"math"
	"math/rand/v2"
)

// Names of the areas of a cabinet scene.
const (
	Frame            = "frame"                    // a stile of ash
	Panel            = "panel"                    // of sapele
	Corner           = "filled corner"            // filler with painted grain, on the frame
	FrameBare        = "frame beside test"        // ash next to the test coat
	FrameTested      = "frame, one coat"          // ash under one coat of the wash
	PanelBare        = "panel beside test"        // sapele next to the test coat
	PanelTested      = "panel, one coat"          // sapele under one coat
	GlazeBare        = "frame beside glaze"       // ash next to the test coat of a glaze
	GlazeTested      = "frame, one coat of glaze" // ash under one coat of it
	GlazePanelBare   = "panel beside glaze"       // sapele next to a test coat of it
	GlazePanelTested = "panel, one coat of glaze" // sapele under one coat
	Chip             = "dried paint"              // the wash where nothing shows through
	Target           = "target board"             // a sample board to come to
	SecondBoard      = "second target board"      // another one, if there is one
	Slip             = "paper slip"               // more of them are "paper slip 2" and so on
)

// A SampleBoard is an offcut that has been finished to the colour that is wanted.
type SampleBoard struct {
	Pale  bool    // of ash; otherwise of sapele
	Coats float64 // 0 and up
	Wash  *Wash   // nil means the scene's own
}

// Heights in millimetres in front of the wall.
const (
	onWall     = 3.0
	leaning    = 24.0
	inCabinet  = 90.0
	panelFace  = 331.0
	frameFace  = 340.0
	coatFace   = 340.2
	boardFace  = 362.0
	knobFace   = 366.0
	frameStuck = 340.4
)

// maker keeps what is needed while the scene is put together.
type maker struct {
	*Scene
	rng   *rand.Rand
	wash  *Wash
	glaze *Wash // nil for none
	// Films of the wash, and of the glaze under it, on what is still to be put together, by area.
	laid, glazed map[string]float64
}

// coated is what is seen of an area under the coats that are on it.
func (m *maker) coated(p *palette, area string) *palette {
	if film := m.glazed[area]; film > 0 {
		p = m.glaze.over(p, film)
	}
	if film := m.laid[area]; film > 0 {
		p = m.wash.over(p, film)
	}
	return p
}

// stick is a straight piece of wood, its grain along its longer side. Boards of one species
// differ in what is in them by 7 and 10 %, one standard deviation.
func (m *maker) stick(sp species, c cut, s shape, height float64, shade func(x, y float64) float64) *surface {
	b := s.box()
	along := 0.0
	if b.y1-b.y0 > b.x1-b.x0 {
		along = 90
	}
	wood := newBoard(m.rng, (b.x0+b.x1)/2, (b.y0+b.y1)/2, along, c, sp.ringWidth)
	f := &surface{
		shape: s, height: height, shade: shade,
		grain:   func(x, y float64) float64 { return sp.grain(wood, x, y) },
		palette: sp.palette(math.Exp(0.07*m.rng.NormFloat64()), math.Exp(0.10*m.rng.NormFloat64())),
	}
	f.palette = m.coated(f.palette, sp.area)
	m.add(f)
	return f
}

// crack is a dark line where two pieces meet.
func (m *maker) crack(s shape, height float64) {
	m.add(&surface{shape: s, height: height, palette: plain(gloom), thin: true})
}
