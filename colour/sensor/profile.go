package sensor

import (
	"math"

	"huewright/colour"
)

// A Neutral is what a surface without colour looks like to a sensor in some light. Only its ratios count; all three are above 0.
type Neutral [3]float64

// A Calibration is what is known of a sensor in one light.
type Calibration struct {
	Kelvin  float64       // of the light; 0 where there is no such calibration
	Matrix  colour.Matrix // from XYZ in that light to the sensor of a reference camera
	Forward colour.Matrix // from a balanced sensor to XYZ under D50; zero for none
	Camera  colour.Matrix // from the reference camera to this one; zero for none
}

// A Profile is what a raw photo says of its sensor. The first calibration is always there; Matrix and Camera have inverses.
type Profile struct {
	Calibrations [2]Calibration
	Balance      Neutral // gains of the amplifiers before digitising; zero for none
	AsShot       Neutral // what the camera took for neutral; zero where it does not say
}

// identity changes nothing.
var identity = colour.Matrix{{1}, {0, 1}, {0, 0, 1}}

// orIdentity is a matrix, or where it is zero one that changes nothing.
func orIdentity(m colour.Matrix) colour.Matrix {
	if m == (colour.Matrix{}) {
		return identity
	}
	return m
}

// diagonal is the matrix that multiplies each channel.
func diagonal(v [3]float64) colour.Matrix { return colour.Matrix{{v[0]}, {0, v[1]}, {0, 0, v[2]}} }

// at is the calibration for a light of so many kelvin: in between, interpolated by the inverse of the temperature, which is nearer to
// even steps of colour; beyond, that of the nearer light.
func (p *Profile) at(kelvin float64) Calibration {
	a, b := p.Calibrations[0], p.Calibrations[1]
	if b.Kelvin == 0 || a.Kelvin == b.Kelvin {
		return a
	}
	share := (1/kelvin - 1/b.Kelvin) / (1/a.Kelvin - 1/b.Kelvin) // of the first
	share = min(max(share, 0), 1)
	c := Calibration{
		Kelvin: kelvin,
		Matrix: between(a.Matrix, b.Matrix, share),
		Camera: between(orIdentity(a.Camera), orIdentity(b.Camera), share),
	}
	none := colour.Matrix{}
	switch {
	case a.Forward != none && b.Forward != none:
		c.Forward = between(a.Forward, b.Forward, share)
	case a.Forward != none:
		c.Forward = a.Forward
	default:
		c.Forward = b.Forward
	}
	return c
}

// between is share of one matrix and the rest of another.
func between(a, b colour.Matrix, share float64) (m colour.Matrix) {
	for i := range m {
		for k := range m {
			m[i][k] = share*a[i][k] + (1-share)*b[i][k]
		}
	}
	return m
}

// toCamera is the map from XYZ to this camera's sensor in a light of so many kelvin.
func (p *Profile) toCamera(kelvin float64) colour.Matrix {
	c := p.at(kelvin)
	return p.analog().Mul(orIdentity(c.Camera)).Mul(c.Matrix)
}

func (p *Profile) analog() colour.Matrix {
	if p.Balance == (Neutral{}) {
		return identity
	}
	return diagonal(p.Balance)
}

// White is the chromaticity x, y of the light in which a neutral surface looks like n, as the matrices have it. They depend on the
// light, so that it is found in a few rounds.
func (p *Profile) White(n Neutral) (x, y float64) {
	const rounds, same = 30, 1e-6
	x, y = 0.3457, 0.3585 // D50
	for i := range rounds {
		m := p.toCamera(Kelvin(x, y))
		if math.Abs(m.Determinant()) < leastDeterminant {
			return x, y
		}
		white := m.Inverse().Apply(colour.XYZ{X: n[0], Y: n[1], Z: n[2]})
		sum := white.X + white.Y + white.Z
		if !(white.X > 0 && white.Y > 0 && white.Z > 0) {
			return x, y // no light looks like that
		}
		nextX, nextY := white.X/sum, white.Y/sum
		done := math.Abs(nextX-x)+math.Abs(nextY-y) < same
		if i == rounds-1 { // it goes to and fro
			nextX, nextY = (x+nextX)/2, (y+nextY)/2
		}
		if x, y = nextX, nextY; done {
			break
		}
	}
	return x, y
}

// leastDeterminant is that of a matrix which is taken to have an inverse.
const leastDeterminant = 1e-9

// Kelvin is the correlated colour temperature of the light in which a neutral surface looks like n.
func (p *Profile) Kelvin(n Neutral) float64 { return Kelvin(p.White(n)) }

// ToXYZ is the map from the sensor's values to XYZ under D65 in the light in which a neutral surface looks like n: it takes n,
// made as large as its largest channel lets it, to the white of D65.
func (p *Profile) ToXYZ(n Neutral) colour.Matrix {
	x, y := p.White(n)
	kelvin := Kelvin(x, y)
	c := p.at(kelvin)
	reference := p.analog().Mul(orIdentity(c.Camera))
	toD65 := colour.Adaptation(colour.WhiteD50, colour.WhiteD65)
	var m colour.Matrix
	if c.Forward != (colour.Matrix{}) && math.Abs(reference.Determinant()) > leastDeterminant {
		back := reference.Inverse()
		seen := back.Apply(colour.XYZ{X: n[0], Y: n[1], Z: n[2]})
		m = toD65.Mul(c.Forward).Mul(diagonal([3]float64{1 / seen.X, 1 / seen.Y, 1 / seen.Z})).Mul(back)
	} else {
		m = colour.Adaptation(colour.WhiteOf(x, y), colour.WhiteD65).Mul(p.toCamera(kelvin).Inverse())
	}
	// What is left of the neutral's own error is taken off, so that it becomes exactly white.
	got := m.Apply(colour.XYZ{X: n[0], Y: n[1], Z: n[2]})
	want := colour.WhiteD65
	exact := diagonal([3]float64{want.X / got.X, want.Y / got.Y, want.Z / got.Z})
	return tendencyAt(kelvin).Mul(exact).Mul(m)
}

// OfWhite is what a neutral surface looks like to the sensor in light of chromaticity x, y, its largest channel 1.
func (p *Profile) OfWhite(x, y float64) Neutral {
	c := p.toCamera(Kelvin(x, y)).Apply(colour.WhiteOf(x, y))
	top := max(c.X, c.Y, c.Z)
	return Neutral{c.X / top, c.Y / top, c.Z / top}
}

// Kelvin is the correlated colour temperature of light of chromaticity x, y, between 1500 and 25000.
//
// Source: McCamy (1992), Color Res. Appl. 17(2), 142–144, from memory.
func Kelvin(x, y float64) float64 {
	n := (x - 0.3320) / (0.1858 - y)
	t := ((449*n+3525)*n+6823.3)*n + 5520.33
	if math.IsNaN(t) {
		return 6500
	}
	return min(max(t, 1500), 25000)
}

// Usable reports whether the matrices of a profile can be used at all: finite, and with inverses.
func (p *Profile) Usable() bool {
	for i, c := range p.Calibrations {
		if i > 0 && c.Kelvin == 0 {
			continue
		}
		for _, m := range []colour.Matrix{c.Matrix, orIdentity(c.Camera), orIdentity(c.Forward)} {
			det := math.Abs(m.Determinant())
			if !(det > leastDeterminant && det < 1/leastDeterminant) {
				return false
			}
		}
	}
	for _, n := range []Neutral{p.Balance, p.AsShot} {
		if n != (Neutral{}) && !n.usable() {
			return false
		}
	}
	return true
}

// usable reports whether all three are above 0 and not far from one another.
func (n Neutral) usable() bool {
	least, most := min(n[0], n[1], n[2]), max(n[0], n[1], n[2])
	return least > 0 && most < 1000*least
}

// LightKelvin is the temperature of a light by its number in EXIF; 0 for one that is not known.
//
// Source: CIPA DC-008 (EXIF) 2.32, 4.6.5, LightSource, for the numbers and the middles of the ranges of fluorescent lamps; the others'
// temperatures from memory of how the format's authors read them.
func LightKelvin(number int) float64 {
	switch number {
	case 17, 3: // standard light A, tungsten
		return 2850
	case 24: // studio lamps
		return 3200
	case 23: // D50
		return 5000
	case 20, 1, 9, 4, 18: // D55, daylight, fine weather, flash, standard light B
		return 5500
	case 21, 19, 10: // D65, standard light C, cloudy
		return 6500
	case 22, 11: // D75, shade
		return 7500
	case 12:
		return 6400
	case 13:
		return 5050
	case 14, 2:
		return 4150
	case 15:
		return 3525
	case 16:
		return 2925
	}
	return 0
}
