package dng

import (
	"encoding/binary"
	"math"

	"huewright/imageio/internal/bigendian"
	"huewright/imageio/internal/tiffdir"
)

// A gainMap is how much a lens darkens, on a lattice over the active area, as what to multiply by.
//
// Source: DNG 1.7, chapter 7 (opcode list processing), GainMap, from memory.
type gainMap struct {
	area          rect // of the active area
	plane, planes int
	pitchY        int
	pitchX        int
	high, wide    int     // points of the lattice
	spaceY        float64 // between them, and where the first lies: as shares of the area's size
	spaceX        float64
	atY, atX      float64
	each          int       // values of a point
	gains         []float32 // [high][wide][each]
}

// shading is what both lists ask for: of stored samples, and of red, green and blue.
type shading struct {
	stored, colours []gainMap
	most            float64 // the largest product of gains that may be
}

// The opcodes that are looked at. Those of geometry change no colour of an area.
const (
	opGainMap      = 9
	opTable        = 7
	opPolynomial   = 8
	opAddPerRow    = 10
	opAddPerColumn = 11
	opMulPerRow    = 12
	opMulPerColumn = 13
	opVignette     = 3
)

const (
	mostOpcodes  = 256
	mostMapWide  = 1024
	mostGain     = 16
	optionalFlag = 1 // a reader may leave it out
)

// readShading reads the opcode lists that follow the decoding.
func (r *Raw) readShading(main, _ tiffdir.Directory) error {
	r.shading.most = 1
	for _, list := range []struct {
		tag  int
		maps *[]gainMap
	}{{tagOpcodes2, &r.shading.stored}, {tagOpcodes3, &r.shading.colours}} {
		f, found := main[list.tag]
		if !found {
			continue
		}
		maps, err := r.readOpcodes(f.Data)
		if err != nil {
			return err
		}
		*list.maps = maps
		r.shading.most *= largestGain(maps)
	}
	r.shading.most = min(r.shading.most, mostGain)
	return nil
}

// largestGain is the largest of maps, several of which may cover one place.
func largestGain(maps []gainMap) float64 {
	byPlace := map[[3]int]float64{}
	for _, m := range maps {
		top := float32(1)
		for _, g := range m.gains {
			top = max(top, g)
		}
		key := [3]int{m.area.top % m.pitchY, m.area.left % m.pitchX, m.plane}
		if byPlace[key] == 0 {
			byPlace[key] = 1
		}
		byPlace[key] *= float64(top)
	}
	most := 1.0
	for _, g := range byPlace {
		most = max(most, g)
	}
	return most
}

// readOpcodes reads a list. Its numbers have the highest byte first, whatever the file has.
func (r *Raw) readOpcodes(data []byte) (maps []gainMap, err error) {
	count := bigendian.Uint32(data, 0)
	if count > mostOpcodes {
		return nil, damaged("it asks for too many steps")
	}
	at := 4
	for range count {
		head := bigendian.Part(data, at, 16)
		if head == nil {
			return nil, damaged("its steps are cut short")
		}
		number, flags := binary.BigEndian.Uint32(head), binary.BigEndian.Uint32(head[8:])
		body := bigendian.Part(data, at+16, int(binary.BigEndian.Uint32(head[12:])))
		if body == nil {
			return nil, damaged("its steps are cut short")
		}
		at += 16 + len(body)
		switch number {
		case opGainMap:
			m, ok := r.readGainMap(body)
			if !ok {
				return nil, damaged("its lens shading is wrong")
			}
			maps = append(maps, m)
		case opTable, opPolynomial, opAddPerRow, opAddPerColumn, opMulPerRow, opMulPerColumn, opVignette:
			r.Skipped = r.Skipped || flags&optionalFlag == 0
		}
	}
	return maps, nil
}

func (r *Raw) readGainMap(b []byte) (m gainMap, ok bool) {
	if len(b) < 76 {
		return m, false
	}
	whole := func(at int) int { return int(binary.BigEndian.Uint32(b[at:])) }
	number := func(at int) float64 { return math.Float64frombits(binary.BigEndian.Uint64(b[at:])) }
	m = gainMap{
		area:  rect{whole(0), whole(4), whole(8), whole(12)},
		plane: whole(16), planes: whole(20), pitchY: whole(24), pitchX: whole(28), high: whole(32), wide: whole(36),
		spaceY: number(40), spaceX: number(48), atY: number(56), atX: number(64), each: whole(72),
	}
	switch {
	case m.pitchX < 1 || m.pitchY < 1 || m.high < 1 || m.wide < 1 || m.high > mostMapWide || m.wide > mostMapWide,
		m.each < 1 || m.each > 4, m.plane > 3, m.planes < 1:
		return m, false
	case m.area.top > mostAcross || m.area.left > mostAcross || m.area.bottom > mostAcross || m.area.right > mostAcross:
		return m, false
	case m.high > 1 && !(m.spaceY > 0), m.wide > 1 && !(m.spaceX > 0), !(math.Abs(m.atX)+math.Abs(m.atY) < 1e6):
		return m, false
	}
	values := bigendian.Part(b, 76, 4*m.high*m.wide*m.each)
	if values == nil {
		return m, false
	}
	for ; len(values) > 0; values = values[4:] {
		g := math.Float32frombits(binary.BigEndian.Uint32(values))
		if !(g > 0 && g <= mostGain) {
			return m, false
		}
		m.gains = append(m.gains, g)
	}
	return m, true
}

// A gainLine multiplies samples of one row after the other by a gain map, of an active area of a size.
type gainLine struct {
	*gainMap
	wide, high int
	left       []int32   // of each column, the point of the lattice to its left
	beyond     []float32 // and how far beyond that it is
	line       []float32 // the lattice at the height of the row
}

func (m *gainMap) lines(wide, high int) *gainLine {
	l := &gainLine{gainMap: m, wide: wide, high: high}
	l.left, l.beyond, l.line = make([]int32, wide), make([]float32, wide), make([]float32, m.wide*m.each)
	for x := range wide {
		left, beyond := onLattice((float64(x)+0.5)/float64(wide), m.atX, m.spaceX, m.wide)
		l.left[x], l.beyond[x] = int32(left), float32(beyond)
	}
	return l
}

// onLattice is the point at or before a place, which is a share of the size, and the share of the way to the next one. Beyond the
// ends it is the end.
func onLattice(place, first, space float64, points int) (int, float64) {
	if points == 1 {
		return 0, 0
	}
	at := min(max((place-first)/space, 0), float64(points-1))
	point := min(int(at), points-2)
	return point, at - float64(point)
}

// multiply multiplies those samples of row y, from column x0 on, that the map is for. There are planes of them at each place.
func (l *gainLine) multiply(samples []float32, x0, y, planes int) {
	m := l.gainMap
	if y < m.area.top || y >= m.area.bottom || (y-m.area.top)%m.pitchY != 0 {
		return
	}
	top, down := onLattice((float64(y)+0.5)/float64(l.high), m.atY, m.spaceY, m.high)
	line := m.wide * m.each
	above := m.gains[top*line:][:line]
	below := above
	if m.high > 1 {
		below = m.gains[(top+1)*line:][:line]
	}
	for i := range l.line {
		l.line[i] = above[i] + float32(down)*(below[i]-above[i])
	}
	first := m.area.left
	if first < x0 {
		first += (x0 - first + m.pitchX - 1) / m.pitchX * m.pitchX
	}
	end := min(m.area.right, x0+len(samples)/planes, l.wide)
	for p := m.plane; p < min(m.plane+m.planes, planes); p++ {
		value := min(p-m.plane, m.each-1)
		for x := first; x < end; x += m.pitchX {
			at := int(l.left[x])*m.each + value
			next := min(at+m.each, len(l.line)-m.each+value)
			g := l.line[at] + l.beyond[x]*(l.line[next]-l.line[at])
			samples[(x-x0)*planes+p] *= g
		}
	}
}
