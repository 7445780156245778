package bench

import "math"

// rendering is the software's part: linear picture in, encoded sRGB out, 0–1.
type rendering struct {
	Camera
	curve [4096]float64 // of linear 0–1.25
}

const curveEnd = 1.25

func newRendering(c *Camera) *rendering {
	r := &rendering{Camera: *c}
	for i := range r.curve {
		r.curve[i] = c.tone(curveEnd * float64(i) / float64(len(r.curve)-1))
	}
	return r
}

// tone is the curve from linear light to the file: sRGB's, then the software's own S, which
// presses the shadows down, stretches the middle, and eases highlights into white.
func (c *Camera) tone(x float64) float64 {
	e := encode(math.Pow(x, c.Gamma))
	e *= 1 - c.Toe*math.Exp(-e/0.22)
	e -= c.Contrast / (2 * math.Pi) * math.Sin(2*math.Pi*min(e, 1))
	if k := c.Shoulder; e > k && k < 1 {
		e = k + (1-k)*math.Tanh((e-k)/(1-k))
	}
	return min(e, 1)
}

func encode(x float64) float64 {
	if x <= 0.0031308 {
		return 12.92 * x
	}
	return 1.055*math.Pow(x, 1/2.4) - 0.055
}

// pixel renders one colour.
func (r *rendering) pixel(c rgb) rgb {
	luma := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	if r.Saturation != 1 || r.preference != (preference{}) {
		c = r.preferred(c, luma)
	}
	for k, v := range c {
		t := min(max(v/curveEnd, 0), 1) * float64(len(r.curve)-1)
		i := min(int(t), len(r.curve)-2)
		c[k] = lerp(t-float64(i), r.curve[i], r.curve[i+1])
	}
	return c
}

// preferred strengthens colours, turns their hues and shifts their brightness, some hues one
// way and some the other. Hue is the direction on the plane of red and blue less brightness.
func (r *rendering) preferred(c rgb, luma float64) rgb {
	u, v := c[0]-luma, c[2]-luma
	chroma := math.Hypot(u, v)
	if chroma < 1e-6 {
		return c
	}
	cos, sin := u/chroma, v/chroma
	toward := func(angle float64) float64 { return cos*math.Cos(angle) + sin*math.Sin(angle) }
	t := &r.preference
	turn := t.turn * (2*cos*sin*math.Cos(t.turnAt) + (cos*cos-sin*sin)*math.Sin(t.turnAt))
	gain := r.Saturation * (1 + t.stronger*toward(t.strongerAt))
	full := chroma / (chroma + max(luma, 0) + 0.02)
	luma *= 1 + t.lighter*full*toward(t.lighterAt)

	u, v = gain*(u-turn*v), gain*(v+turn*u)
	red, blue := luma+u, luma+v
	return rgb{red, (luma - 0.2126*red - 0.0722*blue) / 0.7152, blue}
}
