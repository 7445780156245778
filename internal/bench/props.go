package bench

import (
	"math"
	"math/rand/v2"

	"huewright/colour/spectra"
)

// plain is the palette of a thing without grain.
func plain(c chemistry) *palette { return flat(c.spectrum()) }

func flat(s spectra.Spectrum) *palette {
	var l palette
	for i := range l {
		l[i] = s
	}
	return &l
}

// speckled goes evenly from one chemistry to another.
func speckled(pale, dark chemistry) *palette {
	var l palette
	a, b := pale.spectrum(), dark.spectrum()
	for i := range l {
		for band := range l[i] {
			l[i][band] = lerp(float64(i)/(levels-1), a[band], b[band])
		}
	}
	return &l
}

func (c chemistry) spectrum() spectra.Spectrum {
	var s spectra.Spectrum
	for band := range s {
		s[band] = deep(c.absorption(wavelength(band)))
	}
	return s
}

// What else is in a garage.
var (
	paper     = chemistry{floor: 0.006, lignin: 0.022, fall: 60, middle: 500, breadth: 50}
	card      = chemistry{floor: 0.010, lignin: 0.05, fall: 70, middle: 500, breadth: 50}
	sheets    = chemistry{floor: 0.020, lignin: 0.14, fall: 80, middle: 500, breadth: 50}
	sheetEdge = chemistry{floor: 0.09, lignin: 0.30, fall: 85, middle: 500, breadth: 50}
	tape      = chemistry{floor: 0.035, lignin: 0.42, fall: 85, middle: 500, breadth: 50}
	limewash  = chemistry{floor: 0.085, lignin: 0.060, fall: 90, middle: 500, breadth: 50}
	mortar    = chemistry{floor: 0.150, lignin: 0.090, fall: 95, middle: 500, breadth: 50}
	concrete  = chemistry{floor: 0.42, lignin: 0.22, fall: 130, middle: 500, breadth: 50}
	grime     = chemistry{floor: 1.25, lignin: 0.62, fall: 130, middle: 500, breadth: 50}
	gloom     = chemistry{floor: 9, lignin: 7, fall: 120, middle: 500, breadth: 50}
	brass     = chemistry{floor: 0.20, lignin: 2.9, fall: 70, middle: 500, breadth: 50}
	tin       = chemistry{floor: 0.42, lignin: 0.06, fall: 120, middle: 500, breadth: 50}
	filler    = chemistry{floor: 0.105, lignin: 1.25, fall: 88, extractive: 0.14, middle: 510, breadth: 45}
	fillerInk = chemistry{floor: 0.60, lignin: 5.2, fall: 95, extractive: 0.60, middle: 515, breadth: 50}
)

// backdrop is a limewashed block wall and a concrete floor.
func (s *Scene) backdrop(n noise) {
	const floorFrom, blockWide, blockHigh, joint = 752.0, 440.0, 215.0, 9.0
	wall := func(x, y float64) float64 {
		x, y = x+130+2*n.plane(x/70, y/70), y+75+1.5*(n+1).plane(x/90, y/90)
		course, v := split(y / blockHigh)
		_, u := split(x/blockWide + 0.5*float64(course&1))
		edge := min(min(u, 1-u)*blockWide, min(v, 1-v)*blockHigh)
		g := 0.24 + 0.14*(n+2).octaves(x/150, y/150, 4) + 0.09*(n+3).octaves(x/9, y/9, 3)
		return clamp01(g + 0.42*ramp(joint/2+1.5, joint/2-2, edge))
	}
	floor := func(x, y float64) float64 {
		far := 1 + 1.6*(sceneHeight-y)/(sceneHeight-floorFrom) // the floor runs away from the camera
		u, v := (x-sceneWidth/2)*far, y*far*3
		g := 0.34 + 0.24*(n+4).octaves(u/160, v/160, 5) + 0.10*(n+5).plane(u/2.2, v/2.2)
		return clamp01(g + 0.5*ramp(0.62, 0.75, (n+6).plane(u/46, v/46)))
	}
	const out = 200.0
	s.add(
		&surface{shape: rect(-out, -out, sceneWidth+2*out, floorFrom+out), palette: speckled(limewash, mortar), grain: wall, thin: true},
		&surface{shape: rect(-out, floorFrom, sceneWidth+2*out, sceneHeight), palette: speckled(concrete, grime), grain: floor, thin: true,
			shade: func(_, y float64) float64 { return 0.62 + 0.40*ramp(floorFrom-4, sceneHeight+60, y) }},
	)
}

// contact darkens the floor under a foot that is w wide and stands at x, y; the floor in front
// of it is dark as far as out.
func (s *Scene) contact(x, y, w, out float64) {
	under := box{x - 4, y - 0.4*out, x + w + 10, y + out}
	floor := s.surfaces[1]
	shade := floor.shade
	floor.shade = func(px, py float64) float64 {
		return shade(px, py) * (1 - 0.55*under.soft(px, py, 1.1*out)) * (1 - 0.35*under.moved(8, 4).soft(px, py, 3*out))
	}
}

// taped holds a shape to what is behind it with strips over its corners.
func (s *Scene) taped(rng *rand.Rand, height float64, corners ...spot) {
	for i, c := range corners {
		turn := 45 + 90*float64(i%2) + 12*rng.NormFloat64()
		s.add(&surface{shape: rect(c.x-19, c.y-8, 38, 16).turned(turn, c), height: height, palette: plain(tape), thin: true,
			shade: func(x, y float64) float64 { return 1 + 0.03*math.Sin(0.9*(x-y)) }})
	}
}

// drum is an upright round tin with a collar, and paint standing in it.
func (s *Scene) drum(rng *rand.Rand, x, y, w, h float64, paint *palette) {
	n := noise(rng.Uint64())
	round := func(px, _ float64) float64 {
		t := (px - x) / w
		return 0.45 + 0.62*math.Pow(math.Sin(math.Pi*clamp01(t*0.92+0.12)), 1.2)
	}
	bulge := w * 0.075
	body := shape{{x, y}, {x + w, y}}
	for i := 0; i <= 24; i++ {
		t := float64(i) / 24
		body = append(body, spot{x + w*(1-t), y + h + 4*bulge*t*(1-t)})
	}
	s.add(&surface{shape: body, height: 520, palette: plain(tin), shade: round, thin: true,
		sheen: func(px, _ float64) float64 { return 0.22 * math.Exp(-math.Pow((px-x-0.3*w)/(0.05*w), 2)) }})
	for i := range 5 { // runs of paint
		px, long := x+w*(0.1+0.8*n.cell(i, 0)), 14+46*n.cell(i, 1)
		s.add(&surface{shape: rect(px, y, 4+5*n.cell(i, 2), long), height: 520, palette: paint, shade: round, thin: true},
			&surface{shape: disc(px+4, y+long, 4.2), height: 520, palette: paint, shade: round, thin: true})
	}
	for i := range 2 {
		inset := 3 * float64(i)
		rim := disc(0, 0, 1)
		for k, p := range rim {
			rim[k] = spot{x + w/2 + (w/2+3-inset)*p.x, y + (2.2*bulge-inset)*p.y}
		}
		f := &surface{shape: rim, height: 520, palette: plain(tin), thin: true}
		if i == 1 {
			f.palette, f.shade = paint, func(_, py float64) float64 { return 0.78 + 0.012*(py-y) }
		}
		s.add(f)
	}
}
