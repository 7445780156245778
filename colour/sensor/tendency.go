package sensor

import (
	"math"

	"huewright/colour"
)

// A tendency is what colours like wood are off by on average where a maker's matrices are right for all colours together: wood grows
// redder under warm light than most do, and matrices for XYZ in one light know nothing of another. It is what each of the differences
// X − Y and Z − Y, as shares of the white's, adds to X, Y and Z, so that white stays white.
type tendency [3][2]float64

// tendencies are those at some temperatures, in mired (10⁶ over kelvin); between them they are interpolated, beyond them held. They
// are learned from measured sensors, of which every third was left out, in daylights and warm lamps, by those of 190 patches that are
// near wood; TestTendencies of internal/bench repeats it.
var tendencies = []struct {
	mired float64
	tendency
}{
	{133, tendency{{-0.127, -0.004}, {-0.114, -0.008}, {-0.113, -0.010}}},
	{200, tendency{{-0.252, 0.018}, {-0.167, 0.008}, {-0.143, -0.006}}},
	{350, tendency{{-0.278, 0.023}, {-0.156, 0.036}, {-0.212, -0.033}}},
}

// tendencyAt is the map by which the tendency at a temperature is made up for.
func tendencyAt(kelvin float64) colour.Matrix {
	mired := 1e6 / kelvin
	last := len(tendencies) - 1
	mired = min(max(mired, tendencies[0].mired), tendencies[last].mired)
	i := 0
	for i < last-1 && mired > tendencies[i+1].mired {
		i++
	}
	a, b := &tendencies[i], &tendencies[i+1]
	share := (mired - a.mired) / (b.mired - a.mired)
	white := colour.WhiteD65
	m := identity
	for row, w := range [3]float64{white.X, white.Y, white.Z} {
		byX := w * (a.tendency[row][0] + share*(b.tendency[row][0]-a.tendency[row][0]))
		byZ := w * (a.tendency[row][1] + share*(b.tendency[row][1]-a.tendency[row][1]))
		m[row][0] += byX / white.X
		m[row][1] -= (byX + byZ) / white.Y
		m[row][2] += byZ / white.Z
	}
	return m
}

// A Light is what kind of light a raw photo was taken in, as far as the look of a neutral surface tells.
type Light int

// Kinds of light, by how far colours are then to be trusted. The zero value is no raw photo's.
const (
	Rendered   Light = iota // the picture is none of a sensor's own: a camera made it to look well
	Daylight                // or what looks like it, a cool LED lamp among others
	Lamp                    // warm: a filament, most LED lamps of homes
	OtherLight              // fluorescent tubes, LED lamps between the two, mixtures
)

// DaylightOf is the chromaticity of daylight of a temperature, 4000 to 25000 K.
//
// Source: CIE 15:2018, 4.1.2.
func DaylightOf(kelvin float64) (x, y float64) {
	t := 1000 / kelvin
	if x = ((-4.6070*t+2.9678)*t+0.09911)*t + 0.244063; kelvin > 7000 {
		x = ((-2.0064*t+1.9018)*t+0.24748)*t + 0.237040
	}
	return x, lineOfDaylights(x)
}

func lineOfDaylights(x float64) float64 { return (-3*x+2.87)*x - 0.275 }

// Where the kinds part. Our own choice between the lights that are published: daylight of 5000 K and more lies on its line, warm lamps
// are below 3100 K, and the tubes are mostly between.
const (
	coolest   = 4600  // K: daylight is not warmer
	warmest   = 3300  // K: warm lamps are not cooler
	offLine   = 0.007 // of y from the line of daylights
	offPlanck = 0.012 // from the line of black bodies, in the chromaticity u, v
)

// LightOf tells what kind of light has a chromaticity.
//
// Sources: CIE 15:2018, 4.1.2, for the line of daylights; Krystek (1985), Color Res. Appl. 10(1), 38–40, from memory, for that of black
// bodies.
func LightOf(x, y float64) Light {
	kelvin := Kelvin(x, y)
	if kelvin >= coolest && math.Abs(y-lineOfDaylights(x)) < offLine {
		return Daylight
	}
	sum := -2*x + 12*y + 3
	u, v, t := 4*x/sum, 6*y/sum, kelvin
	blackU := (0.860117757 + 1.54118254e-4*t + 1.28641212e-7*t*t) / (1 + 8.42420235e-4*t + 7.08145163e-7*t*t)
	blackV := (0.317398726 + 4.22806245e-5*t + 4.20481691e-8*t*t) / (1 - 2.89741816e-5*t + 1.61456053e-7*t*t)
	if kelvin <= warmest && math.Hypot(u-blackU, v-blackV) < offPlanck {
		return Lamp
	}
	return OtherLight
}
