package bench

import "math"

// Where the cabinet stands in the scene, in millimetres.
const (
	left, right      = 345.0, 945.0 // of the carcass
	topEdge, bottom  = 88.0, 806.0
	stile            = 64.0
	innerLeft        = left + stile
	innerRight       = right - stile
	bayTop, bayEnd   = 128.0, 258.0
	doorTop, doorEnd = 296.0, 712.0
	railEnd          = 752.0
	footFrom         = railEnd + 6
)

func (m *maker) carcass() {
	m.crack(rect(left+6, topEdge, right-left-12, railEnd-topEdge), inCabinet)
	m.crack(rect(left+10, railEnd-20, right-left-20, 40), inCabinet) // the dark beneath

	rail := rect(innerLeft, doorEnd+2, innerRight-innerLeft, 0)
	rail = shape{rail[0], rail[1], {innerRight, railEnd + 14}}
	for i := 0; i <= 32; i++ { // an apron, cut in a shallow curve
		t := float64(i) / 32
		rail = append(rail, spot{innerRight - t*(innerRight-innerLeft), railEnd + 14 - 34*math.Pow(math.Sin(math.Pi*t), 0.6)})
	}
	m.whole(Frame, ashOfCarcass(rail[3:])...)
	m.stick(ash, plainSawn, rail, frameFace-1, nil).wood = Frame
	m.stick(ash, plainSawn, rect(innerLeft, topEdge, innerRight-innerLeft, bayTop-topEdge), frameFace-1, nil).wood = Frame
	m.stick(ash, plainSawn, rect(innerLeft, bayEnd, innerRight-innerLeft, doorTop-bayEnd), frameFace-1, nil).wood = Frame
	for _, y := range []float64{topEdge, bayEnd, doorEnd + 2} {
		for _, x := range []float64{innerLeft, innerRight - 0.7} {
			m.crack(rect(x, y, 0.7, 38), frameFace-0.8)
		}
	}

	leg := func(x, narrow float64) shape { // feet are cut away a little on the inside
		return shape{{x, topEdge}, {x + stile, topEdge}, {x + stile, footFrom}, {x + stile + min(narrow, 0), bottom},
			{x + max(narrow, 0), bottom}, {x, footFrom}}
	}
	rounded := func(x0 float64) func(x, y float64) float64 { // arrises broken with sandpaper
		return func(x, y float64) float64 {
			return 1 + 0.10*ramp(x0+2.5, x0, x) - 0.22*ramp(x0+stile-2.5, x0+stile, x)
		}
	}
	m.stick(ash, plainSawn, leg(left, -14), frameFace, rounded(left)).wood = Frame
	m.stick(ash, quarterSawn, leg(innerRight, 14), frameFace, rounded(innerRight)).wood = Frame
	m.name(Frame, rect(left+9, topEdge+52, stile-18, 270))

	const over, thick = 16.0, 30.0
	m.stick(ash, plainSawn, rect(left-over, topEdge-thick, right-left+2*over, thick), boardFace, func(_, y float64) float64 {
		t := (y - (topEdge - thick)) / thick
		return 1.02 + 0.16*ramp(0.22, 0.02, t) - 0.05*ramp(0.50, 0.58, t) - 0.42*ramp(0.60, 1, t)
	}).wood = Frame
}

// ashOfCarcass is all that is seen of the ash round shelves and doors: the face of stiles and rails as one, cut open along the joint of the
// left stile, without the slip of paper that is stuck on it and the rebuilt corner; and the edge of the top.
func ashOfCarcass(apron shape) []shape {
	const slit = 0.03 // hardly ever as wide as the middle of a pixel
	const joint = innerLeft + slit
	face := shape{{left, topEdge}, {innerLeft, topEdge}, {innerLeft, doorEnd + 2}, {innerRight, doorEnd + 2}, {innerRight, doorTop},
		{joint, doorTop}, {joint, bayEnd}, {innerRight, bayEnd}, {innerRight, bayTop}, {joint, bayTop}, {joint, topEdge}, {right, topEdge},
		{right, 267}, {938, 267}, {937, 228}, {889, 229}, {891, 301}, {939, 300}, {938, 267 + slit}, {right, 267 + slit},
		{right, 689}, {937, 694}, {930, 704}, {921, 707}, {914, 718}, {907, 721}, {903, 733}, {896, 739}, {894, 751}, {889, 757}, {888.6, 768},
		{894.3, 772}, {innerRight + 14, bottom}, {innerRight + 2.3, apron[0].y}}
	face = append(face, apron...)
	face = append(face, spot{innerLeft - 2.3, apron[0].y}, spot{innerLeft - 14, bottom}, spot{left, bottom})
	return []shape{face, rect(left-16, topEdge-30, right-left+32, 30)}
}

// ashOfDoor is the face of a door in the box d round a panel, cut open along a joint, without the knob at its edge.
func ashOfDoor(d, panel box, joint float64, knob spot) shape {
	s := shape{{d.x0, d.y0}, {joint, d.y0}, {panel.x0, panel.y0}, {panel.x0, panel.y1}, {panel.x1, panel.y1}, {panel.x1, panel.y0},
		{panel.x0 + 0.03, panel.y0}, {joint + 0.03, d.y0}, {d.x1, d.y0}}
	left := knob.x < (d.x0+d.x1)/2
	const steps, radius = 28, 16.5
	reach := d.x1 - knob.x // to the edge
	if left {
		reach = knob.x - d.x0
		s = append(s, spot{d.x1, d.y1}, spot{d.x0, d.y1})
	}
	from := math.Acos(reach / radius)
	for i := range steps { // from the edge round the knob and back
		sin, cos := math.Sincos(-from - 2*(math.Pi-from)*float64(i)/(steps-1))
		if left {
			sin, cos = -sin, -cos
		}
		s = append(s, spot{knob.x + radius*cos, knob.y + radius*sin})
	}
	if left {
		return s
	}
	return append(s, spot{d.x1, d.y1}, spot{d.x0, d.y1})
}

// shelves are thin, close together, and half full of music.
func (m *maker) shelves() {
	w := innerRight - innerLeft
	deepIn := func(x, y float64) float64 {
		in := box{innerLeft, bayTop, innerRight, bayEnd}
		return 0.10 + 0.16*ramp(in.y0, in.y1, y)*ramp(in.x0-20, in.x0+160, x)
	}
	m.stick(sapele, quarterSawn, rect(innerLeft, bayTop, w, bayEnd-bayTop), inCabinet, deepIn)
	const gap, thick = 43.3, 7.0
	for i := range 3 {
		floor := bayTop + gap*float64(i+1)
		m.music(innerLeft+8, floor-thick, w/2-20, gap-thick-6)
		m.music(innerLeft+w/2+12, floor-thick, w/2-20, gap-thick-6)
		if i < 2 {
			m.whole(Frame, rect(innerLeft, floor-thick, w/2-4, thick), rect(innerLeft+w/2+4, floor-thick, w/2-4, thick))
			m.stick(ash, quarterSawn, rect(innerLeft, floor-thick, w, thick), 300, func(_, y float64) float64 {
				return 0.86 - 0.30*ramp(floor-thick*0.4, floor, y) + 0.08*ramp(floor-thick+1.5, floor-thick, y)
			}).wood = Frame
		}
	}
	m.whole(Frame, rect(innerLeft+w/2-4, bayTop, 8, bayEnd-bayTop))
	m.stick(ash, quarterSawn, rect(innerLeft+w/2-4, bayTop, 8, bayEnd-bayTop), 300,
		func(float64, float64) float64 { return 0.82 }).wood = Frame
}

// music is a pile of sheets, some of them proud of the rest.
func (m *maker) music(x, floor, w, most float64) {
	n := noise(m.rng.Uint64())
	height := most * (0.35 + 0.6*m.rng.Float64())
	width := w * (0.55 + 0.3*m.rng.Float64())
	x += (w - width) * m.rng.Float64()
	for y, i := floor, 0; y > floor-height; i++ {
		thick := 1.2 + 3.6*n.cell(i, 0)
		in, out := 9*n.cell(i, 1), 9*n.cell(i, 2)
		y -= thick
		m.add(&surface{shape: rect(x+in, y, width-in-out, thick), height: 270 - 8*n.cell(i, 3), palette: speckled(sheets, sheetEdge), thin: true,
			grain: func(px, py float64) float64 { return clamp01(0.25 + 0.5*n.cell(i, 4) + 0.3*n.plane(px/90, py/0.7)) },
			shade: func(_, py float64) float64 { return 0.55 + 0.35*ramp(floor-most-8, floor, py) }})
	}
}

// door is a frame of ash round a panel of sapele, in an opening between x0 and x1.
func (m *maker) door(x0, x1, knob float64) {
	const side, head, foot, bevel = 46.0, 46.0, 58.0, 9.0
	y0, y1 := doorTop+1.5, doorEnd-1
	x0, x1 = x0+1.2, x1-1.2
	in := box{x0 + side, y0 + head, x1 - side, y1 - foot}
	m.crack(rect(x0-3, y0-3, x1-x0+6, y1-y0+6), frameFace-6)
	m.stick(ash, quarterSawn, rect(x0, y0, side, y1-y0), frameFace, nil).wood = Frame
	m.stick(ash, plainSawn, rect(x1-side, y0, side, y1-y0), frameFace, nil).wood = Frame
	m.stick(ash, quarterSawn, rect(in.x0, y0, in.x1-in.x0, head), frameFace, nil).wood = Frame
	m.stick(ash, plainSawn, rect(in.x0, in.y1, in.x1-in.x0, foot), frameFace, nil).wood = Frame
	for _, x := range []float64{in.x0 - 0.35, in.x1 - 0.35} {
		m.crack(rect(x, y0, 0.6, head), frameFace+0.1)
		m.crack(rect(x, in.y1, 0.6, foot), frameFace+0.1)
	}

	p := box{in.x0 + bevel, in.y0 + bevel, in.x1 - bevel, in.y1 - bevel}
	m.whole(Frame, ashOfDoor(box{x0, y0, x1, y1}, p, in.x0-0.35, spot{knob, (y0+y1)/2 - 30}))
	m.whole(Panel, rect(p.x0, p.y0, p.x1-p.x0, p.y1-p.y0))
	m.panel(rect(p.x0, p.y0, p.x1-p.x0, p.y1-p.y0))
	for _, side := range []struct {
		s     shape
		shade float64
	}{
		{shape{{in.x0, in.y0}, {in.x1, in.y0}, {p.x1, p.y0}, {p.x0, p.y0}}, 0.58},
		{shape{{in.x0, in.y0}, {p.x0, p.y0}, {p.x0, p.y1}, {in.x0, in.y1}}, 0.74},
		{shape{{in.x0, in.y1}, {p.x0, p.y1}, {p.x1, p.y1}, {in.x1, in.y1}}, 1.16},
		{shape{{in.x1, in.y0}, {in.x1, in.y1}, {p.x1, p.y1}, {p.x1, p.y0}}, 1.08},
	} {
		f := m.stick(ash, quarterSawn, side.s, frameFace-4, func(float64, float64) float64 { return side.shade })
		f.thin, f.wood = true, Frame
	}
	m.knob(knob, (y0+y1)/2-30)
}

func (m *maker) panel(s shape) {
	f := m.stick(sapele, quarterSawn, s, panelFace, nil)
	f.thin, f.wood = true, Panel
	b := s.box()
	if b.x1 > sceneWidth/2+100 {
		m.name(Panel, rect(b.x0+16, b.y0+22, b.x1-b.x0-32, b.y1-b.y0-60))
	}
}

// knob is a turned brass knob: a ball with a bright spot where the light is thrown back.
func (m *maker) knob(x, y float64) {
	const radius = 12.5
	m.add(&surface{shape: disc(x, y, radius+4), height: frameFace + 2, palette: plain(brass), shade: func(px, py float64) float64 {
		return 0.75 - 0.018*(py-y)
	}, round: true})
	at := func(px, py float64) (facing, mirror float64) {
		nx, ny := (px-x)/radius, (py-y)/radius
		nz := math.Sqrt(max(0, 1-nx*nx-ny*ny))
		facing = max(0, -0.42*nx-0.55*ny+0.72*nz)
		return facing, math.Pow(max(0, -0.25*nx-0.36*ny+0.90*nz), 60)
	}
	m.add(&surface{shape: disc(x, y, radius), height: knobFace, palette: plain(brass), round: true,
		shade: func(px, py float64) float64 { f, _ := at(px, py); return 0.16 + 0.95*f },
		sheen: func(px, py float64) float64 { _, s := at(px, py); return 0.75 * s },
	})
}
