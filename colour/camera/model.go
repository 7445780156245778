package camera

import (
	"math"

	"huewright/colour"
)

// The camera model takes what a photo recorded, decoded to linear light by the transfer curve its file states,
// to the light that was there:
//
//	z   = ln(c + 0.01) + 1.5
//	y   = exp(g + ln c + t1·z + 0.3·t2·z² + t3·c² − p·f)   per channel
//	XYZ = B · (r, g, b, √rg, √gb, √rb)
//
// with a gain g for each channel (exposure and white balance), one tone bend (t1, t2) that fades out towards black, a
// shoulder t3 that undoes how highlights were pressed together, a light field f over the chart at p, and a
// root-polynomial B which is the matrix of sRGB when nothing is known. Exposure scales all six terms of B alike, which is what makes the
// root-polynomial safe between exposures.
//
// Source of the root-polynomial: Finlayson, Mackiewicz, Hurlbert (2015), IEEE Trans. Image
// Process. 24(5), 1460–1470. doi:10.1109/TIP.2015.2405336. The tone bend, the field and the
// joint fit with priors are ours.
const (
	atGain   = 0                   // 3
	atBend   = atGain + 3          // t1, t2, t3
	atField  = atBend + nBend      // 2
	atMatrix = atField + 2         // 3 rows of 6
	nCamera  = atMatrix + 3*nTerms // all
	nBend    = 3
	nTerms   = 6
)

// cameraParams are the parameters of the model in the order of the constants above.
type cameraParams [nCamera]float64

// identity is the camera that needs no correction.
var identity = func() (p cameraParams) {
	for j, primary := range []colour.LinearRGB{{R: 1}, {G: 1}, {B: 1}} {
		c := primary.XYZ()
		p[atMatrix+j], p[atMatrix+nTerms+j], p[atMatrix+2*nTerms+j] = c.X, c.Y, c.Z
	}
	return p
}()

// leastLight is where the logarithm is cut off: below it, and for the negative values of
// colours outside the gamut, the response goes on as a straight line through black.
const leastLight = 1e-4

// fadeLight is the recorded light below which a tone bend fades out: there stray light and noise rule, and sRGB's own curve is a straight
// line. Without it a bend that fits the greys makes the darkest channel of a strong colour ten times too light. Our own choice: from 0.002
// to 0.05 the errors of left-out patches change by 0.1.
const fadeLight = 0.01

// A Position is a place on the chart in its own plane: −½ to ½ from left to right and from
// top to bottom, (0, 0) in the middle.
type Position struct{ X, Y float64 }

// toneBasis are the functions of the recorded light that t1, t2 and t3 scale, and their derivatives by its logarithm.
func toneBasis(light float64) (basis, slopes [nBend]float64) {
	z, above := math.Log(light+fadeLight)+1.5, light/(light+fadeLight)
	shoulder := light * light
	return [nBend]float64{z, 0.3 * z * z, shoulder}, [nBend]float64{above, 0.6 * z * above, 2 * shoulder}
}

// response is the model's y for one channel, and the factors of its derivatives by t1, t2 and t3: dy/dt = y·basis.
func (p *cameraParams) response(channel int, c float64, at Position) (y float64, basis [nBend]float64) {
	basis, _ = toneBasis(max(c, leastLight))
	return p.respond(channel, c, &basis, at), basis
}

// respond is response where the basis is known.
func (p *cameraParams) respond(channel int, c float64, basis *[nBend]float64, at Position) float64 {
	log := p[atGain+channel] - at.X*p[atField] - at.Y*p[atField+1]
	for k, v := range basis {
		log += p[atBend+k] * v
	}
	return math.Exp(log) * c
}

func channels(c colour.LinearRGB) [3]float64 { return [3]float64{c.R, c.G, c.B} }

// terms are the six features of the root-polynomial.
func terms(r, g, b float64) [nTerms]float64 {
	return [nTerms]float64{r, g, b, root(r * g), root(g * b), root(r * b)}
}

func root(v float64) float64 { return math.Sqrt(max(v, 0)) }

// xyz is the light that the model predicts where the camera recorded c at a place of the chart.
func (p *cameraParams) xyz(c colour.LinearRGB, at Position) colour.XYZ {
	r, _ := p.response(0, c.R, at)
	g, _ := p.response(1, c.G, at)
	b, _ := p.response(2, c.B, at)
	return p.combine(terms(r, g, b))
}

func (p *cameraParams) combine(t [nTerms]float64) colour.XYZ {
	var out [3]float64
	for i := range out {
		row := p[atMatrix+i*nTerms:]
		for j, v := range t {
			out[i] += row[j] * v
		}
	}
	return colour.XYZ{X: out[0], Y: out[1], Z: out[2]}
}

// A jacobian holds the derivatives of L*, a*, b* by every parameter, one row each.
type jacobian [3][nCamera]float64

// sensitivity returns the Lab that the model predicts and its derivatives.
func (p *cameraParams) sensitivity(c colour.LinearRGB, at Position) (lab colour.Lab, j jacobian) {
	var y [3]float64
	var bends [3][nBend]float64
	for k, v := range channels(c) {
		y[k], bends[k] = p.response(k, v, at)
	}
	t := terms(y[0], y[1], y[2])
	lab, byXYZ := p.combine(t).LabJacobian()
	byLog := p.byLogs(&y, &t, &byXYZ)
	for i := range 3 {
		for row := range 3 {
			for m, v := range t {
				j[i][atMatrix+row*nTerms+m] = byXYZ[i][row] * v
			}
		}
		for k, by := range byLog[i] {
			j[i][atGain+k] = by
			for m, bend := range bends[k] {
				j[i][atBend+m] += by * bend
			}
			j[i][atField] -= by * at.X
			j[i][atField+1] -= by * at.Y
		}
	}
	return lab, j
}

// byLogs are the derivatives of L*, a*, b* by the logarithms of the three responses.
func (p *cameraParams) byLogs(y *[3]float64, t *[nTerms]float64, byXYZ *[3][3]float64) (by [3][3]float64) {
	// byLogY[k][m] is the derivative of term m by ln y of channel k.
	byLogY := [3][nTerms]float64{
		{y[0], 0, 0, t[3] / 2, 0, t[5] / 2},
		{0, y[1], 0, t[3] / 2, t[4] / 2, 0},
		{0, 0, y[2], 0, t[4] / 2, t[5] / 2},
	}
	for k := range 3 {
		var xyz [3]float64
		for row := range xyz {
			for m, v := range byLogY[k] {
				xyz[row] += p[atMatrix+row*nTerms+m] * v
			}
		}
		for i := range 3 {
			by[i][k] = byXYZ[i][0]*xyz[0] + byXYZ[i][1]*xyz[1] + byXYZ[i][2]*xyz[2]
		}
	}
	return by
}
