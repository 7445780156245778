package camera

import "huewright/colour"

// Edition tells which published values a 24-patch chart was made to.
type Edition int

// The formulation of the chart changed in November 2014; most charts in use are newer. The
// two differ by about one ΔE00 on average, which is less than a phone gets wrong.
const (
	Since2014 Edition = iota
	Before2014
)

// A ChartPatch is one patch of the chart and the colour it is published to have.
type ChartPatch struct {
	Name string
	Lab  colour.Lab // D65: adapted from the published D50 by Bradford
}

// Chart24 returns the 24 patches of the chart row by row, from the dark brown to the black:
// six to a row, natural colours first and greys last.
//
// Source: the maker's published L*a*b* (D50, 2°) of both editions, as collected by the
// Python library colour-science (BSD-3).
func Chart24(e Edition) [24]ChartPatch {
	toD65 := colour.Adaptation(colour.WhiteD50, colour.WhiteD65)
	var patches [24]ChartPatch
	for i, p := range chart24 {
		lab := p.since
		if e == Before2014 {
			lab = p.before
		}
		patches[i] = ChartPatch{p.name, toD65.Apply(lab.XYZUnder(colour.WhiteD50)).Lab()}
	}
	return patches
}

var chart24 = [24]struct {
	name          string
	before, since colour.Lab // D50
}{
	{"dark brown", colour.Lab{L: 37.986, A: 13.555, B: 14.059}, colour.Lab{L: 37.54, A: 14.37, B: 14.92}},
	{"light skin", colour.Lab{L: 65.711, A: 18.130, B: 17.810}, colour.Lab{L: 64.66, A: 19.27, B: 17.50}},
	{"sky blue", colour.Lab{L: 49.927, A: -4.880, B: -21.905}, colour.Lab{L: 49.32, A: -3.82, B: -22.54}},
	{"leaf green", colour.Lab{L: 43.139, A: -13.095, B: 21.905}, colour.Lab{L: 43.46, A: -12.74, B: 22.72}},
	{"blue flower", colour.Lab{L: 55.112, A: 8.844, B: -25.399}, colour.Lab{L: 54.94, A: 9.61, B: -24.79}},
	{"bluish green", colour.Lab{L: 70.719, A: -33.397, B: -0.199}, colour.Lab{L: 70.48, A: -32.26, B: -0.37}},
	{"orange", colour.Lab{L: 62.661, A: 36.067, B: 57.096}, colour.Lab{L: 62.73, A: 35.83, B: 56.50}},
	{"purplish blue", colour.Lab{L: 40.020, A: 10.410, B: -45.964}, colour.Lab{L: 39.43, A: 10.75, B: -45.17}},
	{"moderate red", colour.Lab{L: 51.124, A: 48.239, B: 16.248}, colour.Lab{L: 50.57, A: 48.64, B: 16.67}},
	{"purple", colour.Lab{L: 30.325, A: 22.976, B: -21.587}, colour.Lab{L: 30.10, A: 22.54, B: -20.87}},
	{"yellow green", colour.Lab{L: 72.532, A: -23.709, B: 57.255}, colour.Lab{L: 71.77, A: -24.13, B: 58.19}},
	{"orange yellow", colour.Lab{L: 71.941, A: 19.363, B: 67.857}, colour.Lab{L: 71.51, A: 18.24, B: 67.37}},
	{"blue", colour.Lab{L: 28.778, A: 14.179, B: -50.297}, colour.Lab{L: 28.37, A: 15.42, B: -49.80}},
	{"green", colour.Lab{L: 55.261, A: -38.342, B: 31.370}, colour.Lab{L: 54.38, A: -39.72, B: 32.27}},
	{"red", colour.Lab{L: 42.101, A: 53.378, B: 28.190}, colour.Lab{L: 42.43, A: 51.05, B: 28.62}},
	{"yellow", colour.Lab{L: 81.733, A: 4.039, B: 79.819}, colour.Lab{L: 81.80, A: 2.67, B: 80.41}},
	{"magenta", colour.Lab{L: 51.935, A: 49.986, B: -14.574}, colour.Lab{L: 50.63, A: 51.28, B: -14.12}},
	{"cyan", colour.Lab{L: 51.038, A: -28.631, B: -28.638}, colour.Lab{L: 49.57, A: -29.71, B: -28.32}},
	{"white", colour.Lab{L: 96.539, A: -0.425, B: 1.186}, colour.Lab{L: 95.19, A: -1.03, B: 2.93}},
	{"light grey", colour.Lab{L: 81.257, A: -0.638, B: -0.335}, colour.Lab{L: 81.29, A: -0.57, B: 0.44}},
	{"grey", colour.Lab{L: 66.766, A: -0.734, B: -0.504}, colour.Lab{L: 66.89, A: -0.75, B: -0.06}},
	{"mid grey", colour.Lab{L: 50.867, A: -0.153, B: -0.270}, colour.Lab{L: 50.76, A: -0.13, B: 0.14}},
	{"dark grey", colour.Lab{L: 35.656, A: -0.421, B: -1.231}, colour.Lab{L: 35.63, A: -0.46, B: -0.48}},
	{"black", colour.Lab{L: 20.461, A: -0.079, B: -0.973}, colour.Lab{L: 20.64, A: 0.07, B: -0.46}},
}

// NearWood reports whether c is a colour whose errors speak for wood: within 30 CIE76 of the
// line from a dark red-brown wood (L* 35, a* 14, b* 15) to a pale yellow one (82, 4, 21),
// between which the common furniture woods lie. Of the chart these are the dark brown, the
// light skin, the leaf green and the six greys: the easier patches, so a mean over them is no
// match for one over the strong oranges and yellows.
func NearWood(c colour.Lab) bool {
	dark, pale := colour.Lab{L: 35, A: 14, B: 15}, colour.Lab{L: 82, A: 4, B: 21}
	along := colour.Lab{L: pale.L - dark.L, A: pale.A - dark.A, B: pale.B - dark.B}
	t := (c.L-dark.L)*along.L + (c.A-dark.A)*along.A + (c.B-dark.B)*along.B
	t /= along.L*along.L + along.A*along.A + along.B*along.B
	t = min(max(t, 0), 1)
	return colour.DeltaE76(c, colour.Lab{L: dark.L + t*along.L, A: dark.A + t*along.A, B: dark.B + t*along.B}) <= 30
}
