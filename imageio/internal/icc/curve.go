package icc

import (
	"errors"
	"math"

	"huewright/imageio/internal/bigendian"
)

// A toneCurve leads from a code to light, or from one number of a table profile to another, all 0–1.
type toneCurve func(float64) float64

var errCurve = errors.New("has a damaged tone curve")

// parseCurve reads a tag of type curv or para that leads from codes to light. The result stays
// within 0–1.
func parseCurve(body []byte) (toneCurve, error) {
	curve, _, err := parseAnyCurve(body)
	if err != nil {
		return nil, err
	}
	if curve(1) <= curve(0) {
		return nil, errCurve // upside down or flat: no light can be told from it
	}
	return curve, nil
}

// parseAnyCurve reads a curve, which may fall, and the number of bytes it takes.
func parseAnyCurve(body []byte) (_ toneCurve, size int, err error) {
	if len(body) < 12 {
		return nil, 0, errCurve
	}
	var curve toneCurve
	switch string(body[:4]) {
	case "curv":
		curve, size = parseTableCurve(body), 12+2*int(bigendian.Uint32(body, 8))
	case "para":
		curve, size = parseParametricCurve(body)
	}
	if curve == nil {
		return nil, 0, errCurve
	}
	within := func(v float64) float64 { return min(max(curve(v), 0), 1) }
	for i := range 257 {
		if math.IsNaN(within(float64(i) / 256)) {
			return nil, 0, errCurve
		}
	}
	return within, size, nil
}

// parseTableCurve reads a curve by its points; none is the identity, one is a power.
//
// Source: ICC.1:2022, 10.6.
func parseTableCurve(body []byte) toneCurve {
	count := int(bigendian.Uint32(body, 8))
	if count == 0 {
		return func(v float64) float64 { return v }
	}
	if count == 1 {
		if len(body) < 14 {
			return nil
		}
		gamma := float64(bigendian.Uint16(body, 12)) / 256
		return func(v float64) float64 { return math.Pow(v, gamma) }
	}
	packed := bigendian.Part(body, 12, 2*count)
	if packed == nil {
		return nil
	}
	points := make([]float64, count)
	for i := range points {
		points[i] = float64(bigendian.Uint16(packed, 2*i)) / 65535
	}
	return func(v float64) float64 {
		at := min(max(v, 0), 1) * float64(count-1)
		i := min(int(at), count-2)
		return points[i] + (at-float64(i))*(points[i+1]-points[i])
	}
}

// parseParametricCurve reads one of the five functions.
//
// Source: ICC.1:2022, 10.18, table 68.
func parseParametricCurve(body []byte) (curve toneCurve, size int) {
	kind := int(bigendian.Uint16(body, 8))
	if kind > 4 {
		return nil, 0
	}
	n := []int{1, 3, 4, 5, 7}[kind]
	size = 12 + 4*n
	if len(body) < size {
		return nil, 0
	}
	var p [7]float64
	for i := range n {
		p[i] = fixed16(body, 12+4*i)
	}
	g, a, b, c, d, e, f := p[0], p[1], p[2], p[3], p[4], p[5], p[6]
	power := func(v float64) float64 { return math.Pow(max(a*v+b, 0), g) }
	switch kind {
	case 0:
		return func(v float64) float64 { return math.Pow(v, g) }, size
	case 1, 2:
		e, f, c, d = c, c, 0, -b/a // the same as kind 4: flat at c below −b/a
		if kind == 1 {
			e, f = 0, 0
		}
	case 3:
		e, f = 0, 0
	}
	return func(v float64) float64 {
		if v >= d {
			return power(v) + e
		}
		return c*v + f
	}, size
}

// fixed16 reads an s15Fixed16Number.
func fixed16(data []byte, at int) float64 { return float64(int32(bigendian.Uint32(data, at))) / 65536 }
