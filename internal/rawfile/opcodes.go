package rawfile

import (
	"encoding/binary"
	"math"
)

// A GainMap is what to multiply samples by, on a lattice over the active area.
type GainMap struct {
	Top, Left, Bottom, Right int // of the active area
	Plane, Planes            int
	RowPitch, ColumnPitch    int
	High, Wide               int // points
	SpaceV, SpaceH           float64
	FirstV, FirstH           float64
	Each                     int // values of a point
	Gains                    []float32
}

// opcodeList writes a list of gain maps, highest byte first.
func opcodeList(maps []GainMap) []byte {
	be := binary.BigEndian
	out := be.AppendUint32(nil, uint32(len(maps)))
	for _, m := range maps {
		var body []byte
		for _, v := range []int{m.Top, m.Left, m.Bottom, m.Right, m.Plane, m.Planes, m.RowPitch, m.ColumnPitch, m.High, m.Wide} {
			body = be.AppendUint32(body, uint32(v))
		}
		for _, v := range []float64{m.SpaceV, m.SpaceH, m.FirstV, m.FirstH} {
			body = be.AppendUint64(body, math.Float64bits(v))
		}
		body = be.AppendUint32(body, uint32(m.Each))
		for _, g := range m.Gains {
			body = be.AppendUint32(body, math.Float32bits(g))
		}
		for _, v := range []int{9, 0x01030000, 0, len(body)} {
			out = be.AppendUint32(out, uint32(v))
		}
		out = append(out, body...)
	}
	return out
}
