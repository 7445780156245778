package bench

import (
	"cmp"
	"math"
	"slices"

	"huewright/imageio"
)

// The scene's size in millimetres.
const (
	sceneWidth  = 1160
	sceneHeight = 870
)

// A surface is one flat thing in the scene. Later surfaces lie over earlier ones.
type surface struct {
	shape   shape
	height  float64                    // mm in front of the wall; the higher shades the lower
	palette *palette                   // how each level of its grain reflects
	grain   grain                      // nil means level 0 all over
	shade   func(x, y float64) float64 // how squarely it faces the light; nil means 1
	sheen   func(x, y float64) float64 // light of the lamp itself it throws back; nil means none
	thin    bool                       // too thin to throw a shadow
	round   bool                       // throws a round shadow
	wood    string                     // the area of which it is part, where it is wood that is still bare: Frame or Panel

	box box
}

// level is the surface's grain at a spot as an index into its palette.
func (s *surface) level(x, y float64) int {
	if s.grain == nil {
		return 0
	}
	return min(int(levels*s.grain(x, y)), levels-1)
}

func (s *surface) thrownBack(x, y float64) float64 {
	if s.sheen == nil {
		return 0
	}
	return s.sheen(x, y)
}

// A Scene is a cabinet and what lies about it: surfaces, and the areas whose colours are known.
type Scene struct {
	surfaces []*surface
	places   []place
	wholes   []place // all that is seen of the wood of an area, in one or more parts
	chart    [4]spot // outer corners of the patch field, from dark brown along its row and round
	index    tiles
}

// A place is an area's name and where it is in the scene.
type place struct {
	name  string
	shape shape
}

func (s *Scene) add(surfaces ...*surface) {
	for _, f := range surfaces {
		f.box = f.shape.box()
		s.surfaces = append(s.surfaces, f)
	}
}

func (s *Scene) name(area string, where shape) {
	s.places = append(s.places, place{area, where})
}

// Light falls from above and to the left: a shadow lies this far from what throws it, for each
// millimetre of height between, and is this soft.
const (
	shadowRight = 0.06
	shadowDown  = 0.24
	shadowSoft  = 0.28
	shadowDeep  = 0.52 // share of the light that a full shadow takes
	nearDeep    = 0.20 // share of the sky that a near edge hides
)

// tiles lists, for each square of the scene, what may be seen there, topmost first, and what
// may throw a shadow there.
type tiles struct {
	seen, shading [][]*surface
	highest       []float64 // of what is seen
}

const (
	tile       = 12 // mm
	tileMargin = 120
	tilesWide  = (sceneWidth+2*tileMargin)/tile + 1
	tilesHigh  = (sceneHeight+2*tileMargin)/tile + 1
)

// whole names a part of all that is seen of the wood of an area.
func (s *Scene) whole(area string, parts ...shape) {
	for _, part := range parts {
		s.wholes = append(s.wholes, place{area, part})
	}
}

func (s *Scene) finish() *Scene {
	s.index.seen = make([][]*surface, tilesWide*tilesHigh)
	s.index.shading = make([][]*surface, tilesWide*tilesHigh)
	s.index.highest = make([]float64, tilesWide*tilesHigh)
	for i := range s.index.seen {
		x, y := float64(tile*(i%tilesWide)-tileMargin), float64(tile*(i/tilesWide)-tileMargin)
		here := box{x, y, x + tile, y + tile}
		lowest := math.Inf(1)
		for k := len(s.surfaces) - 1; k >= 0; k-- {
			f := s.surfaces[k]
			if f.box.meets(here) {
				s.index.seen[i] = append(s.index.seen[i], f)
				lowest = min(lowest, f.height)
				s.index.highest[i] = max(s.index.highest[i], f.height)
			}
		}
		for _, f := range s.surfaces {
			if d := f.height - lowest; !f.thin && d > 0.5 && f.shadowReach(d).meets(here) {
				s.index.shading[i] = append(s.index.shading[i], f)
			}
		}
	}
	return s
}

// shadowReach is where f may darken what lies up to d below it.
func (f *surface) shadowReach(d float64) box {
	soft := 2 + d*(shadowSoft+max(shadowRight, shadowDown))
	return f.box.grown(soft)
}

// tileAt is where a spot is in the index.
func tileAt(x, y float64) int {
	i := min(max(int((x+tileMargin)/tile), 0), tilesWide-1)
	j := min(max(int((y+tileMargin)/tile), 0), tilesHigh-1)
	return j*tilesWide + i
}

// at returns what is seen at a spot, and where it is in the index. Beyond the scene's margin
// the nearest tile answers.
func (s *Scene) at(x, y float64) (*surface, int) {
	here := tileAt(x, y)
	for _, f := range s.index.seen[here] {
		if f.box.contains(x, y) && f.shape.contains(x, y) {
			return f, here
		}
	}
	return s.surfaces[0], here
}

// heights are those of the scene's surfaces, the highest first; of those within a millimetre the lowest stands for all.
func (s *Scene) heights() (of []float64) {
	for _, f := range s.surfaces {
		of = append(of, f.height)
	}
	slices.SortFunc(of, func(a, b float64) int { return cmp.Compare(b, a) })
	kept, highest := of[:0], math.Inf(1)
	for _, h := range of {
		if highest-h <= 1 {
			kept[len(kept)-1] = h
			continue
		}
		kept, highest = append(kept, h), h
	}
	return kept
}

// met is what a camera sees at a place of its picture, by the heights of what stands out: a ray ends where it meets the first thing that
// is no lower than itself, on its face or on its side. A view without relief sees all on one plane.
func (s *Scene) met(v View, px imageio.Point, heights []float64) (*surface, int, spot) {
	if !v.relief {
		at := v.spot(px)
		f, here := s.at(at.x, at.y)
		return f, here, at
	}
	for _, h := range heights {
		at := v.seen(px, frameFace-h)
		if s.index.highest[tileAt(at.x, at.y)] < h {
			continue
		}
		if f, here := s.at(at.x, at.y); f.height >= h {
			return f, here, at
		}
	}
	at := v.seen(px, frameFace)
	f, here := s.at(at.x, at.y)
	return f, here, at
}

// light is how much light reaches f at a spot, 1 where nothing is in the way.
func (s *Scene) light(f *surface, here int, x, y float64) float64 {
	open, sky := 1.0, 1.0
	for _, c := range s.index.shading[here] {
		d := c.height - f.height
		if d <= 0.5 {
			continue
		}
		soft := box.soft
		if c.round {
			soft = box.softRound
		}
		open *= 1 - soft(c.box.moved(shadowRight*d, shadowDown*d), x, y, 1.5+shadowSoft*d)
		sky *= 1 - nearDeep*soft(c.box, x, y, 2+0.9*min(d, 60))
	}
	light := sky * (1 - shadowDeep*(1-open))
	if f.shade != nil {
		light *= f.shade(x, y)
	}
	return light
}

// WoodAt returns which bare wood a view shows at a place of the picture, Frame or Panel; "" where it shows something else.
func (s *Scene) WoodAt(v View, px imageio.Point) string {
	at := v.orDefault().spot(px)
	f, _ := s.at(at.x, at.y)
	return f.wood
}
